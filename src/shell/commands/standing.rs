//! `standing`: battery arithmetic alone, no meter and no session.

use anyhow::{Context, Result, anyhow};

use crate::battery::standing::Given;
use crate::battery::{capacity, voltage};
use crate::reading::band::Band;
use crate::report::standing::{Asked, StandingAnswer};
use crate::session::card::Rest;
use crate::shell::flags::Standing;
use crate::shell::printed;
use crate::shell::warn;

pub(super) fn run(flags: &Standing) -> Result<()> {
    capacity::check(&flags.battery).context("--battery")?;
    let answer = StandingAnswer::new(asked(flags)).ok_or_else(|| {
        anyhow!(
            "--battery: its capacity is not known: expected its ampere-hours or its reserve \
             capacity, as in agm,70Ah or flooded,rc:120"
        )
    })?;
    let out = printed::out();
    if flags.json {
        answer.write_json(out)?;
    } else {
        answer.write_text(out)?;
    }
    Ok(())
}

fn asked(flags: &Standing) -> Asked {
    let by_voltage = flags.volts.map(|volts| {
        let rest = Rest {
            volts,
            rested_s: flags.rested,
            temperature_c: flags.temperature,
        };
        voltage::charge(flags.battery.kind, &rest)
    });
    if let (Some(by_voltage), Some(said)) = (by_voltage, flags.charge)
        && !(by_voltage.low..=by_voltage.high).contains(&said)
    {
        warn(&format!(
            "--charge {:.0}% and --volts do not agree: the voltage counts, it says {:.0}% to {:.0}%",
            said * 100.0,
            by_voltage.low * 100.0,
            by_voltage.high * 100.0
        ));
    }
    let draw_a = match (flags.draw, flags.wake) {
        (Some(draw_a), Some(wake)) => Some(wake.mean_a(draw_a)),
        (draw_a, _) => draw_a,
    };
    Asked {
        given: Given {
            battery: flags.battery,
            charge: by_voltage.or(flags.charge.map(Band::exact)),
            no_start: flags.no_start,
            self_discharge_per_day: flags.self_discharge,
            temperature_c: flags.temperature,
        },
        draw_a,
        flat_after_s: flags.flat_after,
        required_standing_s: flags.standing,
    }
}
