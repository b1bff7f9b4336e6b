//! The codes by which scripts know why a judgement is what it is: every one stands in
//! `assets/reasons.csv`, and every row there is one that the program can write.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;

use lullboard::judge::contradiction::Contradiction;
use lullboard::judge::reason::{Implausible, NowReason, TrialReason, VerdictReason};
use lullboard::judge::remedy::Remedy;
use lullboard::judge::volts::Explained;
use serde::Serialize;
use serde_json::Value;

/// One of each, in the order of the table. A new variant belongs here, into the table, and into
/// `next`, which does not compile without it.
fn trials() -> Vec<TrialReason> {
    use TrialReason as T;
    let mut all = vec![T::Fell {
        own_a: None,
        later_a: 0.0,
        stages: 0,
        last_after_s: 0.0,
    }];
    while let Some(next) = all.last().and_then(next_trial) {
        all.push(next);
    }
    all
}

fn next_trial(reason: &TrialReason) -> Option<TrialReason> {
    use TrialReason as T;
    Some(match reason {
        T::Fell { .. } => T::Rose {
            by_a: 0.0,
            differs_a: None,
        },
        T::Rose { .. } => T::Same {
            for_s: 0.0,
            differs_a: None,
        },
        T::Same { .. } => T::TooLittle { by_a: 0.0 },
        T::TooLittle { .. } => T::Slept { up_s: 0.0, p: 0.0 },
        T::Slept { .. } => T::Blind { for_s: 0.0 },
        T::Blind { .. } => T::Woke { rise_a: 0.0 },
        T::Woke { .. } => T::WakesStopped {
            every_s: 0.0,
            watched_s: 0.0,
            average_before_a: 0.0,
            average_after_a: 0.0,
        },
        T::WakesStopped { .. } => T::WakesGoOn {
            every_s: 0.0,
            seen: 0,
            average_after_a: 0.0,
        },
        T::WakesGoOn { .. } => T::WakesOpen {
            every_s: 0.0,
            watched_s: 0.0,
            needed_s: 0.0,
        },
        T::WakesOpen { .. } => T::Blunt {
            below_a: 0.0,
            remedy: Remedy::BetterMeter,
        },
        T::Blunt { .. } => T::Unsettled {
            waited_s: 0.0,
            at_a: None,
        },
        T::Unsettled { .. } => T::Overtaken {
            by: String::new(),
            after_s: 0.0,
            in_run: false,
        },
        T::Overtaken { .. } => T::NothingBefore {
            now_a: None,
            differs_a: None,
        },
        T::NothingBefore { .. } => T::UpTooShort {
            up_s: 0.0,
            needed_s: 0.0,
        },
        T::UpTooShort { .. } => T::Misnamed {
            label: String::new(),
            out: vec![],
            since_s: None,
        },
        T::Misnamed { .. } => T::NoCurrent { at_a: 0.0 },
        T::NoCurrent { .. } => T::Frozen { for_s: 0.0 },
        T::Frozen { .. } => T::Shared {
            own_a: 0.0,
            later_a: 0.0,
        },
        T::Shared { .. } => T::AsleepWithIt {
            fell_a: 0.0,
            level_a: 0.0,
        },
        T::AsleepWithIt { .. } => T::FellBefore {
            fell_a: 0.0,
            before_s: 0.0,
            by: None,
        },
        T::FellBefore { .. } => T::Disagree {
            own_a: 0.0,
            resting_a: 0.0,
        },
        T::Disagree { .. } => return None,
    })
}

fn verdicts() -> Vec<VerdictReason> {
    let mut all = vec![VerdictReason::NoReading];
    while let Some(next) = all.last().and_then(next_verdict) {
        all.push(next);
    }
    all
}

fn next_verdict(reason: &VerdictReason) -> Option<VerdictReason> {
    use VerdictReason as V;
    Some(match reason {
        V::NoReading => V::Measured {
            level_a: 0.0,
            average_a: 0.0,
            low_a: 0.0,
            high_a: 0.0,
            p_below: 0.0,
        },
        V::Measured { .. } => V::Wakes {
            level_a: 0.0,
            average_a: 0.0,
            wakes: 0,
            watched_s: 0.0,
        },
        V::Wakes { .. } => V::Restless {
            average_a: 0.0,
            u_a: 0.0,
            over_s: 0.0,
        },
        V::Restless { .. } => V::Early {
            waited_s: 0.0,
            timeout_s: 0.0,
        },
        V::Early { .. } => V::MayLie { until_s: 0.0 },
        V::MayLie { .. } => V::SinceDeed {
            waited_s: 0.0,
            timeout_s: 0.0,
        },
        V::SinceDeed { .. } => V::Unsettled {
            at_a: None,
            waited_s: 0.0,
            timeout_s: 0.0,
        },
        V::Unsettled { .. } => V::NoReadingSince {
            deed: String::new(),
        },
        V::NoReadingSince { .. } => V::WakesOpen {
            deed: String::new(),
            needed_s: 0.0,
        },
        V::WakesOpen { .. } => V::NoAccuracy { share: 0.0 },
        V::NoAccuracy { .. } => V::TooClose {
            u_a: 0.0,
            remedy: Remedy::BetterMeter,
        },
        V::TooClose { .. } => V::WakesOver {
            level_a: 0.0,
            wakes: 0,
        },
        V::WakesOver { .. } => V::FewWakes {
            wakes: 0,
            watched_s: 0.0,
            more_s: None,
        },
        V::FewWakes { .. } => V::Touched {
            at_s: 0.0,
            for_s: 0.0,
            charge_as: 0.0,
        },
        V::Touched { .. } => V::Sparse { step_s: 0.0 },
        V::Sparse { .. } => V::Risen {
            at_s: 0.0,
            for_s: 0.0,
        },
        V::Risen { .. } => V::Moves {
            a_per_h: 0.0,
            is_clamp: false,
        },
        V::Moves { .. } => V::Fault {
            fault: "dead",
            for_s: 0.0,
        },
        V::Fault { .. } => V::Stood {
            level_a: 0.0,
            from_s: 0.0,
            for_s: 0.0,
        },
        V::Stood { .. } => V::Charging {
            at_s: 0.0,
            for_s: 0.0,
            peak_v: 0.0,
        },
        V::Charging { .. } => V::Holes {
            blind_s: 0.0,
            of_s: 0.0,
        },
        V::Holes { .. } => V::Implausible {
            level_a: 0.0,
            u_a: 0.0,
            kind: Implausible::Zero,
        },
        V::Implausible { .. } => V::NotLocked,
        V::NotLocked => V::Until { at_s: 0.0 },
        V::Until { .. } => V::With { out: vec![] },
        V::With { .. } => return None,
    })
}

fn nows() -> Vec<NowReason> {
    let mut all = vec![NowReason::NoReading];
    while let Some(next) = all.last().and_then(next_now) {
        all.push(next);
    }
    all
}

fn next_now(reason: &NowReason) -> Option<NowReason> {
    use NowReason as N;
    Some(match reason {
        N::NoReading => N::Blind,
        N::Blind => N::Awake {
            at_a: 0.0,
            waited_s: None,
            timeout_s: 0.0,
        },
        N::Awake { .. } => N::Fell {
            from_a: 0.0,
            ago_s: 0.0,
        },
        N::Fell { .. } => N::Woke {
            out_of_a: 0.0,
            ago_s: 0.0,
        },
        N::Woke { .. } => N::Flat {
            at_a: 0.0,
            for_s: 0.0,
            waited_s: None,
            timeout_s: 0.0,
            after: None,
            needs_timeout: true,
        },
        N::Flat { .. } => N::Settled {
            at_a: 0.0,
            for_s: 0.0,
            ground: None,
            past_timeout_s: None,
            took_s: None,
        },
        N::Settled { .. } => return None,
    })
}

fn contradictions() -> Vec<Contradiction> {
    let mut all = vec![Contradiction::Twice {
        did: "pull",
        what: vec![],
        first_s: 0.0,
        first: None,
        again_s: 0.0,
        again: None,
    }];
    while let Some(next) = all.last().and_then(next_contradiction) {
        all.push(next);
    }
    all
}

fn next_contradiction(found: &Contradiction) -> Option<Contradiction> {
    use Contradiction as C;
    let what = Vec::new;
    Some(match found {
        C::Twice { .. } => C::OtherLevel {
            what: what(),
            at_s: 0.0,
            was_a: 0.0,
            is_a: 0.0,
        },
        C::OtherLevel { .. } => C::NotBack {
            did: "refit",
            what: what(),
            at_s: 0.0,
            was_a: 0.0,
            is_a: 0.0,
        },
        C::NotBack { .. } => C::TwoFuses {
            what: what(),
            together_a: 0.0,
        },
        C::TwoFuses { .. } => C::FedByBoth {
            what: what(),
            apart_a: vec![],
            together_a: 0.0,
        },
        C::FedByBoth { .. } => C::FedThrough {
            what: what(),
            apart_a: vec![],
            together_a: 0.0,
        },
        C::FedThrough { .. } => C::Charged {
            from_s: 0.0,
            to_s: 0.0,
            peak_v: 0.0,
        },
        C::Charged { .. } => C::FallsFaster {
            from_s: 0.0,
            to_s: 0.0,
            before_v: 0.0,
            after_v: 0.0,
            least_ah: 0.0,
            explained_ah: 0.0,
        },
        C::FallsFaster { .. } => C::FallsSlower {
            from_s: 0.0,
            to_s: 0.0,
            before_v: 0.0,
            after_v: 0.0,
            most_ah: 0.0,
            explained_ah: 0.0,
        },
        C::FallsSlower { .. } => C::DoNotAddUp {
            chi_square: 0.0,
            dof: 0,
            p: 0.0,
            worst: what(),
            worst_a: 0.0,
        },
        C::DoNotAddUp { .. } => return None,
    })
}

fn explained() -> Vec<Explained> {
    let mut all = vec![Explained::Fits];
    while let Some(next) = all.last().and_then(next_explained) {
        all.push(next);
    }
    all
}

fn next_explained(said: &Explained) -> Option<Explained> {
    use Explained as E;
    Some(match said {
        E::Fits => E::Faster,
        E::Faster => E::Slower,
        E::Slower => E::NoBattery,
        E::NoBattery => E::NotAtRest,
        E::NotAtRest => E::TooShort {
            for_s: 0.0,
            needed_s: 0.0,
        },
        E::TooShort { .. } => E::NoCurrent {
            missing_s: 0.0,
            of_s: 0.0,
        },
        E::NoCurrent { .. } => return None,
    })
}

/// Code and figures, as the program writes them.
fn written(of: &str, reason: &Value) -> (String, String, Vec<String>) {
    let keys = reason.as_object().unwrap();
    let figures = keys.keys().filter(|key| *key != "code").cloned().collect();
    (
        of.to_owned(),
        keys["code"].as_str().unwrap().to_owned(),
        figures,
    )
}

#[test]
fn every_code_stands_in_the_table_and_no_other() {
    fn all<T: Serialize>(of: &str, reasons: &[T]) -> Vec<(String, String, Vec<String>)> {
        let values = reasons.iter().map(|one| serde_json::to_value(one).unwrap());
        values.map(|value| written(of, &value)).collect()
    }
    let written = [
        all("trial", &trials()),
        all("verdict", &verdicts()),
        all("now", &nows()),
        all("contradiction", &contradictions()),
        all("volts", &explained()),
    ];
    let known: BTreeMap<(String, String), Vec<String>> = written
        .into_iter()
        .flatten()
        .map(|(of, code, figures)| ((of, code), figures))
        .collect();
    let mut table = BTreeMap::new();
    let text = include_str!("../assets/reasons.csv");
    for row in csv::Reader::from_reader(text.as_bytes()).records() {
        let row = row.unwrap();
        let figures = row[3].split_whitespace().map(str::to_owned).collect();
        assert!(row[2].len() > 10, "{row:?} says nothing");
        let allows = [
            "",
            "all",
            "not above",
            "not below",
            "cannot tell",
            "not settled",
        ];
        assert!(allows.contains(&&row[4]), "{row:?}");
        table.insert((row[0].to_owned(), row[1].to_owned()), figures);
    }
    assert_eq!(known, table);
}
