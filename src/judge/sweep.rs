//! The millivolts read across fuses, with what the fuse map knows of each, as a sweep.

use super::finding::SettledNow;
use super::plan;
use crate::fuse::drop::{COMMON_STEP_MV, Fuse, Millivolts, Printed};
use crate::fuse::map;
use crate::fuse::sweep::{Left, ProbedFuse, Sweep};
use crate::session::Session;
use crate::session::entry::FuseDrop;

/// A sweep, and what it leaves of the settled current.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// Fuse by fuse, the largest current first.
    pub sweep: Sweep,
    /// What the fuses read do not explain; `None` while the car has not settled.
    pub left: Option<Left>,
}

/// The sweep of a session; `None` when no fuse was read.
pub fn sweep(session: &Session, settled: Option<&SettledNow>) -> Option<Swept> {
    let drops = session.drops();
    if drops.is_empty() {
        return None;
    }
    let probed: Vec<ProbedFuse> = drops
        .iter()
        .map(|(_, drop)| probed(session, drop))
        .collect();
    let sweep = Sweep::of(&probed, None);
    let left = settled.map(|settled| sweep.left_of(settled.level.a, settled.level.u_a));
    Some(Swept { sweep, left })
}

/// What the plan can go by: between which currents each fuse carries.
pub fn told(swept: &Swept) -> Vec<plan::FuseDraw> {
    let bands = swept.sweep.bands();
    bands
        .map(|(label, band)| plan::FuseDraw {
            label: label.to_owned(),
            lowest_a: band.low,
            highest_a: band.high,
        })
        .collect()
}

fn probed(session: &Session, drop: &FuseDrop) -> ProbedFuse {
    let circuit = map::find(session.fuses(), &drop.what);
    let style = drop
        .style
        .as_deref()
        .or_else(|| circuit?.style.as_deref())
        .and_then(|style| style.parse().ok());
    let rating_a = drop.rating_a.or_else(|| circuit?.rating_a);
    ProbedFuse {
        label: drop.what.clone(),
        fuse: Fuse {
            printed: style
                .zip(rating_a)
                .map(|(style, rating_a)| Printed { style, rating_a }),
            ohms: drop.ohms.filter(|ohms| *ohms > 0.0),
        },
        read: Millivolts {
            mv: drop.mv,
            step_mv: drop
                .step_mv
                .filter(|step_mv| *step_mv > 0.0)
                .unwrap_or(COMMON_STEP_MV),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::finding::Level;
    use crate::reading::Elapsed;
    use crate::session::card::Card;
    use crate::session::entry::{Entry, Fact, Header, MeterCard};
    use chrono::DateTime;

    fn session(drops: &[&str]) -> Session {
        let map = b"box,position,rating_a,style,feeds\nD,6,10,blade,map light\nD,11,30,blade,fan\n";
        let mut session = Session::new(Header {
            started: DateTime::UNIX_EPOCH.fixed_offset(),
            card: Card {
                fuses: map::read(map).ok(),
                ..Card::default()
            },
            meter: MeterCard::default(),
        });
        for drop in drops {
            session.apply(&Entry {
                t: Elapsed::ZERO,
                fact: Fact::Drop(Box::new(drop.parse().unwrap())),
            });
        }
        session
    }

    fn settled(a: f64) -> SettledNow {
        let level = Level { a, u_a: 0.001 };
        SettledNow {
            level,
            average: level,
            since: Elapsed::ZERO,
            early: false,
        }
    }

    /// Vector (computed): 1.0 mV on a 10 A blade is 129.9 mA.
    #[test]
    fn the_map_tells_style_and_rating() {
        let session = session(&["D11 0.00", "d6 1.00", "E3 0.40", "E4 0.40 7.7m"]);
        let swept = sweep(&session, Some(&settled(0.185))).unwrap();
        let rows = &swept.sweep.rows;
        let labels: Vec<&str> = rows.iter().map(|row| row.label.as_str()).collect();
        assert_eq!(labels, ["d6", "E4", "D11", "E3"]);
        let first = rows[0].drawn.as_ref().unwrap();
        assert!((first.a - 0.1299).abs() < 5e-5);
        assert!(rows[2].drawn.as_ref().unwrap().unseen.is_some());
        assert!(rows[3].drawn.is_err());
        let left = swept.left.unwrap();
        assert!(left.a.abs() <= left.u_a, "{left:?}");
    }

    #[test]
    fn without_a_settled_current_nothing_is_left_over() {
        assert_eq!(sweep(&session(&[]), None), None);
        assert_eq!(sweep(&session(&["D6 1.0"]), None).unwrap().left, None);
    }
}
