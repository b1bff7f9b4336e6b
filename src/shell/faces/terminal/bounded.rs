//! A terminal no larger than one can be: a size is only what somebody told the system, and a picture
//! of 65535 times 65535 cells fits into no memory.

use std::io::{self, Write};

use ratatui::backend::{Backend, ClearType, CrosstermBackend, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};

/// More than the widest wall of screens shows.
const LARGEST: Size = Size::new(1000, 400);

/// Draws as the backend within does, on its first rows and columns.
#[derive(Debug)]
pub(super) struct Bounded<W: Write>(pub CrosstermBackend<W>);

fn at_most(told: Size) -> Size {
    Size::new(
        told.width.min(LARGEST.width),
        told.height.min(LARGEST.height),
    )
}

/// What standard output says of itself: one call of the system, where the library opens the terminal
/// anew, and a picture asks each time.
#[cfg(unix)]
fn told() -> Option<Size> {
    let told = rustix::termios::tcgetwinsize(io::stdout()).ok()?;
    let is_known = told.ws_col > 0 && told.ws_row > 0;
    is_known.then(|| Size::new(told.ws_col, told.ws_row))
}

#[cfg(not(unix))]
const fn told() -> Option<Size> {
    None
}

impl<W: Write> Backend for Bounded<W> {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        self.0.draw(content)
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        self.0.hide_cursor()
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.0.show_cursor()
    }

    fn get_cursor_position(&mut self) -> io::Result<Position> {
        self.0.get_cursor_position()
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.0.set_cursor_position(position)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.0.clear()
    }

    fn clear_region(&mut self, clear_type: ClearType) -> io::Result<()> {
        self.0.clear_region(clear_type)
    }

    fn size(&self) -> io::Result<Size> {
        told().map_or_else(|| self.0.size(), Ok).map(at_most)
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        let told = self.0.window_size()?;
        Ok(WindowSize {
            columns_rows: at_most(told.columns_rows),
            pixels: told.pixels,
        })
    }

    fn flush(&mut self) -> io::Result<()> {
        Backend::flush(&mut self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screen_is_taken_as_told_and_what_none_can_be_is_cut() {
        assert_eq!(at_most(Size::new(80, 24)), Size::new(80, 24));
        assert_eq!(at_most(Size::new(0, 0)), Size::new(0, 0));
        assert_eq!(at_most(Size::new(u16::MAX, u16::MAX)), LARGEST);
        assert_eq!(at_most(Size::new(90, u16::MAX)), Size::new(90, 400));
    }
}
