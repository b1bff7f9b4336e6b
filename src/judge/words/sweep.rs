//! Millivolts read across fuses, in words: what each carries, and what they leave unexplained.

use crate::fuse::sweep::Left;
use crate::judge::sweep::Swept;
use crate::reading::quantity;

/// Fuse by fuse, the largest current first.
pub fn sweep(swept: &Swept) -> Vec<String> {
    let mut lines = vec!["by millivolts across the fuses, largest first:".to_owned()];
    lines.extend(swept.sweep.rows.iter().map(|row| match &row.drawn {
        Ok(drawn) => {
            let questions = drawn.questions.iter().map(|it| format!("; {it}"));
            let questions: String = questions.collect();
            format!("{} carries {}{questions}", row.label, drawn.in_words())
        }
        Err(error) => format!("{}: {error}", row.label),
    }));
    lines.extend(swept.left.map(left));
    lines
}

/// What the fuses leave of the battery's current, and what to do.
pub fn left(left: Left) -> String {
    let by = quantity::level(left.a.abs(), left.u_a);
    if left.a.abs() <= left.u_a {
        format!("the fuses read explain the battery's current ({by} between them)")
    } else if left.a > 0.0 {
        format!(
            "{by} flows through no fuse that was read: read the others, then the feeds without a fuse (generator B+, starter, ignition, alarm)"
        )
    } else {
        format!(
            "the fuses carry {by} more than the battery gives: did the car wake while they were read, is one fed through another, does a charger help?"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_is_held_against_the_battery() {
        for (a, word) in [
            (0.01, "explain"),
            (0.63, "without a fuse"),
            (-0.22, "charger"),
        ] {
            let words = left(Left { a, u_a: 0.04 });
            assert!(words.contains(word), "{words}");
        }
    }
}
