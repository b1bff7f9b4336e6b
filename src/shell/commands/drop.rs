//! `drop`: the millivolts across a fuse to the current through it.

use anyhow::Result;

use crate::fuse::drop::{Fuse, Millivolts, Printed, drawn};
use crate::report;
use crate::shell::flags::Drop;
use crate::shell::printed;

pub(super) fn run(flags: &Drop) -> Result<()> {
    let fuse = Fuse {
        printed: Some(Printed {
            style: flags.style,
            rating_a: flags.rating,
        }),
        ohms: flags.ohms,
    };
    let read = Millivolts {
        mv: flags.mv.mv,
        step_mv: flags.mv_step.unwrap_or(flags.mv.step_mv),
    };
    let drawn = drawn(&fuse, read, flags.mv_accuracy)?;
    let out = printed::out();
    if flags.json {
        report::drop::write_json(&fuse, &drawn, out)?;
    } else {
        report::drop::write_text(&fuse, &drawn, flags.mv_accuracy.is_some(), out)?;
    }
    Ok(())
}
