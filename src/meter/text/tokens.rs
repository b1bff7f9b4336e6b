//! A line to tokens: figures, units, labels, words and breaks.

use super::figure::Figure;
use super::unit::{self, Named};

/// One piece of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Token<'a> {
    /// Something that stands for a value.
    Figure(Figure),
    /// A unit, right behind a figure.
    Unit(Named),
    /// The end of a label: what stood before `:` or `=`.
    Label(&'a str),
    /// Any other word; digits inside words are no figures.
    Word(&'a str),
    /// A comma, semicolon or bar between two things.
    Break,
}

/// Cuts `text` into tokens.
pub(super) fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    // A sign set apart from its number: `+ 12.34`.
    let mut sign = "";
    for chunk in text.split_whitespace() {
        if matches!(chunk, "+" | "-") {
            sign = chunk;
            continue;
        }
        for (place, piece) in pieces(chunk).enumerate() {
            if place > 0 {
                tokens.push(Token::Break);
            }
            read_piece(piece, std::mem::take(&mut sign), &mut tokens);
        }
    }
    tokens
}

/// Splits at `;`, `|` and those commas that do not stand between two digits.
fn pieces(chunk: &str) -> impl Iterator<Item = &str> {
    let between_digits = |at: usize| {
        let digit = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
        let bytes = chunk.as_bytes();
        let before = at.checked_sub(1).and_then(|before| bytes.get(before));
        digit(before) && digit(bytes.get(at.saturating_add(1)))
    };
    let mut cuts: Vec<usize> = chunk
        .char_indices()
        .filter(|&(at, c)| matches!(c, ';' | '|') || (c == ',' && !between_digits(at)))
        .map(|(at, _)| at)
        .collect();
    cuts.push(chunk.len());
    let mut from = 0;
    cuts.into_iter().map(move |to| {
        let piece = chunk.get(from..to).unwrap_or_default();
        from = to.saturating_add(1);
        piece
    })
}

fn read_piece<'a>(piece: &'a str, sign: &str, tokens: &mut Vec<Token<'a>>) {
    if piece.is_empty() {
        return;
    }
    if let Some((label, rest)) = piece.split_once([':', '='])
        && (label.is_empty() || label.contains(char::is_alphabetic))
    {
        tokens.push(Token::Label(label));
        return read_piece(rest, "", tokens);
    }
    if let Some((figure, rest)) = Figure::split(piece) {
        return attach(figure.signed(sign), rest, piece, tokens);
    }
    if let Some(figure) = Figure::word(piece) {
        return tokens.push(Token::Figure(figure));
    }
    let behind_figure = matches!(tokens.last(), Some(Token::Figure(_)));
    match unit::named(piece).filter(|_| behind_figure) {
        Some(named) => tokens.push(Token::Unit(named)),
        None => tokens.push(Token::Word(piece)),
    }
}

/// A figure and what hangs on it: nothing, a unit, or more of a word that only begins with digits.
fn attach<'a>(figure: Figure, rest: &str, whole: &'a str, tokens: &mut Vec<Token<'a>>) {
    if rest.is_empty() {
        tokens.push(Token::Figure(figure));
    } else if let Some(named) = unit::named(rest) {
        tokens.push(Token::Figure(figure));
        tokens.push(Token::Unit(named));
    } else {
        tokens.push(Token::Word(whole));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::text::Unit;

    fn number(text: &str) -> Token<'_> {
        Token::Figure(Figure::Number(text.into()))
    }

    #[test]
    fn labels_figures_and_units_are_told_apart() {
        let milli = Token::Unit(Named::Current(Unit::Milliampere));
        assert_eq!(
            tokens("Bus load: - 12.34mA, x=5"),
            [
                Token::Word("Bus"),
                Token::Label("load"),
                number("-12.34"),
                milli,
                Token::Break,
                Token::Label("x"),
                number("5"),
            ]
        );
    }

    #[test]
    fn times_and_dates_are_words() {
        assert_eq!(
            tokens("2026-11-25 12:21:46 3rd"),
            [
                Token::Word("2026-11-25"),
                Token::Word("12:21:46"),
                Token::Word("3rd")
            ]
        );
    }
}
