//! Text that somebody else wrote, put into a format that could obey it: markup and Markdown show
//! it as it reads, and do nothing else.

use std::fmt::{self, Display, Formatter, Write};

use crate::reading::sanitize;

/// Text in HTML, SVG or XML, between tags or in an attribute.
#[derive(Clone, Copy, Debug)]
pub struct Markup<'a>(pub &'a str);

impl Display for Markup<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        for c in self.0.chars().map(sanitize::shown) {
            match c {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&#39;")?,
                other => f.write_char(other)?,
            }
        }
        Ok(())
    }
}

/// Text in one line of Markdown, in a table's cell too.
#[derive(Clone, Copy, Debug)]
pub struct Inline<'a>(pub &'a str);

/// What begins something in the middle of a line of `CommonMark`, or in a table's cell.
const OBEYED: &str = "\\`*_[]{}|~!$^#@";

impl Display for Inline<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let mut chars = self.0.chars().map(sanitize::shown).peekable();
        // What came before: nothing or digits (a list begins so), and how many `w` in a row (a
        // bare address becomes a link in many dialects).
        let (mut digits_only, mut ws) = (true, 0);
        while let Some(c) = chars.next() {
            let escaped = match c {
                '.' | ')' if digits_only => chars.peek().is_none_or(|next| *next == ' '),
                '-' | '+' | '=' => digits_only && !chars.peek().is_some_and(char::is_ascii_digit),
                ':' => chars.peek() == Some(&'/'),
                '.' => ws >= 3,
                c => OBEYED.contains(c),
            };
            match c {
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '&' => f.write_str("&amp;")?,
                c if escaped => write!(f, "\\{c}")?,
                c => f.write_char(c)?,
            }
            digits_only = digits_only && c.is_ascii_digit();
            ws = if c.eq_ignore_ascii_case(&'w') {
                ws + 1
            } else {
                0
            };
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_shows_tags_and_does_nothing_else() {
        let hostile = "</td><script>alert('1')</script> & \"x\" \u{202e}gnp\u{0}";
        assert_eq!(
            Markup(hostile).to_string(),
            "&lt;/td&gt;&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt; &amp; &quot;x&quot; ?gnp?"
        );
    }

    #[test]
    fn markdown_keeps_to_its_cell() {
        // CommonMark 0.31, 2.4: a backslash before ASCII punctuation takes its meaning away.
        for (hostile, shown) in [
            ("a|b\n# c", "a\\|b?\\# c"),
            ("[x](http://a) www.b", "\\[x\\](http\\://a) www\\.b"),
            ("<img src=x>`*_~", "&lt;img src=x&gt;\\`\\*\\_\\~"),
            ("1. one", "1\\. one"),
            ("- two", "\\- two"),
            ("22:31 and 2.5 mA", "22:31 and 2.5 mA"),
            ("-2.5 mA", "-2.5 mA"),
        ] {
            assert_eq!(Inline(hostile).to_string(), shown);
        }
    }
}
