//! The phase in one line.

use crate::judge::finding::Now;
use crate::judge::reason::NowReason;
use crate::judge::rules::AWAKE_A;
use crate::judge::stay::asleep::Ground;
use crate::judge::wait;
use crate::reading::quantity;

impl Now {
    /// The phase and why it is that.
    pub fn in_words(&self) -> String {
        format!("{}: {}", self.phase.word(), self.why())
    }

    /// Why the phase is what it is.
    pub fn why(&self) -> String {
        why(&self.reason)
    }
}

fn why(reason: &NowReason) -> String {
    match reason {
        NowReason::NoReading => "no reading yet".into(),
        NowReason::Blind => "no usable reading".into(),
        NowReason::Awake {
            at_a,
            waited_s,
            timeout_s,
        } => {
            let doing = if *at_a >= AWAKE_A {
                "modules at work"
            } else {
                "not steady yet"
            };
            format!("{doing}, {}", waited(*waited_s, *timeout_s))
        }
        NowReason::Fell { from_a, ago_s } => {
            format!(
                "fell from {} {} ago",
                quantity::current(*from_a),
                quantity::span(*ago_s)
            )
        }
        NowReason::Woke { out_of_a, ago_s } => {
            format!(
                "woke {} ago out of {}",
                quantity::span(*ago_s),
                quantity::current(*out_of_a)
            )
        }
        NowReason::Flat {
            at_a,
            for_s,
            waited_s,
            timeout_s,
            after,
            needs_timeout,
        } => {
            let at = format!(
                "at {} for {}",
                quantity::current(*at_a),
                quantity::span(*for_s)
            );
            match after {
                Some(after) if *needs_timeout => {
                    format!(
                        "re-settling after {after}: {at}, {}",
                        waited(*waited_s, *timeout_s)
                    )
                }
                Some(after) => format!("re-settling after {after}: {at}"),
                None => format!("flat {at}, {}", waited(*waited_s, *timeout_s)),
            }
        }
        NowReason::Settled {
            at_a,
            for_s,
            ground,
            past_timeout_s,
            took_s,
        } => settled(*at_a, *for_s, *ground, *past_timeout_s, *took_s),
    }
}

fn settled(
    at_a: f64,
    for_s: f64,
    ground: Option<Ground>,
    past_s: Option<f64>,
    took_s: Option<f64>,
) -> String {
    let at = quantity::current(at_a);
    if ground == Some(Ground::TimedOut) && at_a >= AWAKE_A {
        let over = quantity::span(past_s.unwrap_or_default().max(0.0));
        return format!("asleep it is not: {at}, {over} past the time-out");
    }
    let why = match ground {
        Some(Ground::Known) => "a level already known in this state",
        Some(Ground::AtLimit) => "at or near the limit, before the time-out has run",
        Some(Ground::Removed) => "not above the settled level before",
        Some(Ground::TimedOut) | None => "held past the time-out",
        Some(Ground::SaidAsleep) => "the card says it was asleep",
    };
    let took = took_s.map(|took_s| format!(" after {}", quantity::span(took_s)));
    format!(
        "{at}, at rest for {}{}: {why}",
        quantity::span(for_s),
        took.unwrap_or_default()
    )
}

fn waited(waited_s: Option<f64>, timeout_s: f64) -> String {
    let whole = quantity::span(timeout_s);
    match waited_s {
        None => format!("time-out {whole}: it begins with the lock"),
        Some(waited_s) if waited_s > timeout_s => {
            format!(
                "{} past the time-out of {whole}",
                quantity::span(waited_s - timeout_s)
            )
        }
        Some(waited_s) => format!("{} waited", wait::of_whole(waited_s, timeout_s)),
    }
}
