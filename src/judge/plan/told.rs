//! What pulls, refits and announced runs told of the fuses that they moved.

use super::belief::{Told, Word, is_among};
use super::usual::usual;
use crate::judge::announced::OpenFall;
use crate::judge::finding::{Finding, Level, Manner, Trial};
use crate::judge::rules::SAME_A;
use crate::judge::stay::Basis;
use crate::reading::Elapsed;
use crate::session::mark::Did;
use crate::session::timeline::take_out;

/// What pulls and refits told. What drew before the last repair may be mended, and is not told.
pub(super) fn told(basis: &Basis<'_>, trials: &[Trial], mended_t: Option<Elapsed>) -> Vec<Told> {
    let session = basis.session;
    let mut all = Vec::new();
    let mut open = by_runs(basis, mended_t).into_iter().peekable();
    let mut run: Vec<&Trial> = Vec::new();
    let mut marks = session.marks().peekable();
    let mut out_now = Vec::new();
    for trial in trials {
        run.push(trial);
        while let Some((_, told)) = open.next_if(|(t, _)| *t < trial.t) {
            all.push(told);
        }
        while let Some(placed) = marks.next_if(|placed| placed.at() <= trial.t) {
            take_out(&mut out_now, &placed.mark);
        }
        let settled = trial.after.is_some() && trial.finding != Finding::Spoiled;
        if settled {
            let before_repair = mended_t.is_some_and(|mended_t| trial.t <= mended_t);
            let of_run = of_run(&out_now, &run);
            all.extend(
                of_run
                    .into_iter()
                    .filter(|told| !before_repair || told.word == Word::Nothing),
            );
        }
        if settled || trial.finding == Finding::Spoiled {
            run.clear();
        }
    }
    all.extend(open.map(|(_, told)| told));
    all
}

/// What the announced runs told whose falls nobody has named: one of their fuses draws each.
fn by_runs(basis: &Basis<'_>, mended_t: Option<Elapsed>) -> Vec<(Elapsed, Told)> {
    let falls = basis.open_falls.iter();
    let falls: Vec<&OpenFall> = falls
        .filter(|fall| mended_t.is_none_or(|mended_t| fall.t > mended_t))
        .collect();
    let runs = falls.chunk_by(|one, next| one.among == next.among);
    let told = runs.filter_map(|falls| {
        let last = falls.last()?;
        let level = Level {
            a: falls.iter().map(|fall| fall.from_a - fall.to_a).sum(),
            u_a: SAME_A,
        };
        let told = Told {
            what: last.among.clone(),
            out: last.among.clone(),
            word: Word::Draws(level),
        };
        Some((last.t, told))
    });
    told.collect()
}

/// A run has one settled finding at its end; first looks may tell its members apart.
fn of_run(out_now: &[&str], run: &[&Trial]) -> Vec<Told> {
    let Some(last) = run.last() else {
        return Vec::new();
    };
    let all_are = |did: Did| run.iter().all(|trial| trial.did == did);
    if !all_are(Did::Pull) && !all_are(Did::Refit) {
        return Vec::new();
    }
    let Some(word) = word(last) else {
        return Vec::new();
    };
    let what: Vec<String> = run.iter().flat_map(|trial| trial.what.clone()).collect();
    let out = together_out(out_now, &what);
    if let (Word::Draws(level), [_, _, ..]) = (word, run)
        && let Some(told) = by_first_looks(run, level, &out)
    {
        return told;
    }
    let told = |word| Told {
        what: what.clone(),
        out: out.clone(),
        word,
    };
    let kept = last
        .change
        .filter(|_| last.manner == Some(Manner::Both))
        .map(|change| told(Word::KeptAwake(size(change))));
    [told(word)].into_iter().chain(kept).collect()
}

/// What was out together with `what`: after a removal, before a refit.
fn together_out(out_now: &[&str], what: &[String]) -> Vec<String> {
    let mut out: Vec<String> = out_now.iter().copied().map(str::to_owned).collect();
    let also = what.iter().filter(|label| !is_among(label, &out));
    let also: Vec<String> = also.cloned().collect();
    out.extend(also);
    out
}

fn word(trial: &Trial) -> Option<Word> {
    let change = trial.change?;
    let draws = |change: Level| Word::Draws(size(change));
    match (trial.finding, trial.manner) {
        (Finding::NoChange, _) => Some(Word::Nothing),
        (Finding::Clears | Finding::Lowers, Some(Manner::Late)) => {
            Some(Word::KeptAwake(size(change)))
        }
        // Of a fall in two parts only what went at once is the circuit's own.
        (Finding::Clears | Finding::Lowers, Some(Manner::Both)) => {
            Some(draws(trial.first_look.unwrap_or(change)))
        }
        (Finding::Clears | Finding::Lowers, Some(Manner::AtOnce) | None) => {
            (trial.did == Did::Pull).then(|| draws(change))
        }
        (Finding::Raises, _) => (trial.did == Did::Refit).then(|| draws(change)),
        (Finding::CannotTell | Finding::NotYet | Finding::Spoiled, _) => None,
    }
}

/// A change without its sign.
fn size(change: Level) -> Level {
    Level {
        a: change.a.abs(),
        ..change
    }
}

/// Each pull of a run by its own first look, when the looks together explain what the run lost.
fn by_first_looks(run: &[&Trial], level: Level, out: &[String]) -> Option<Vec<Told>> {
    let looks: Vec<(&Trial, Level)> = run
        .iter()
        .map(|trial| Some((*trial, trial.first_look?)))
        .collect::<Option<_>>()?;
    let fell = |look: &Level| look.a.abs() > usual().odds.look_share * level.a;
    let mut some = looks.iter().filter(|(_, look)| fell(look));
    let (Some((drawer, look)), None) = (some.next(), some.next()) else {
        return None;
    };
    let explained = (look.a.abs() - level.a).abs() <= look.u_a.hypot(level.u_a).max(0.1 * level.a);
    let quiet = |(trial, look): &&(&Trial, Level)| {
        trial.mark == drawer.mark || look.a.abs() <= look.u_a.max(0.05 * level.a)
    };
    if !explained || looks.iter().filter(quiet).count() < looks.len() {
        return None;
    }
    let told = looks.iter().map(|(trial, _)| Told {
        what: trial.what.clone(),
        out: out.to_vec(),
        word: if trial.mark == drawer.mark {
            Word::Draws(level)
        } else {
            Word::Nothing
        },
    });
    Some(told.collect())
}
