//! How far long work has come: a week takes a while to read, and a still screen looks broken.

use super::{Line, Role, width};

/// Long work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is done: "reading hunt.lull".
    pub doing: String,
    /// How far, in percent; `None` for what has no length.
    pub percent: Option<u8>,
}

impl Progress {
    /// The rows for a screen of this size.
    pub fn lines(&self, columns: u16, rows: u16) -> Vec<Line> {
        let mut lines = vec![Line::default(); usize::from(rows / 3)];
        let done = self.percent.map(|percent| percent.min(100));
        let far = done.map_or_else(String::new, |done| format!("  {done} %"));
        lines.push(
            Line::new(
                Role::Strong,
                width::clip(&self.doing, columns.saturating_sub(8)),
            )
            .and(Role::Plain, far),
        );
        if let Some(done) = done {
            let cells = columns.min(60);
            let full = usize::from(cells.saturating_mul(u16::from(done)) / 100);
            let rest = usize::from(cells).saturating_sub(full);
            lines.push(Line::new(Role::Good, "=".repeat(full)).and(Role::Dim, "-".repeat(rest)));
        }
        lines.push(Line::new(Role::Key, "q").and(Role::Plain, " stops"));
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_as_long_as_the_share() {
        let text = |percent| {
            let progress = Progress {
                doing: "reading hunt.lull".into(),
                percent,
            };
            let lines = progress.lines(20, 9);
            lines
                .iter()
                .map(|line| line.0.iter().map(|piece| piece.text.as_str()).collect())
                .collect::<Vec<String>>()
        };
        assert_eq!(text(Some(25))[4], "=====---------------");
        assert_eq!(text(Some(200))[4], "====================");
        assert_eq!(text(None)[4], "q stops");
    }
}
