//! The handheld meters' formats as one list: their names, speeds and decoders. Each one's layout
//! is in a file of its own beside this.

use super::Decoder;
use super::ascii14::Ascii14;
use super::es11::Es11;
use super::es51922::Es51922;
use super::frame::Framed;
use super::fs9922::Fs9922;
use super::lcd14::Lcd14;
use super::stx16::Stx16;
use crate::reading::named::named;

/// A format of fixed length that a handheld meter sends, named after its chip or its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Handheld {
    /// 14 bytes of display segments.
    Lcd14,
    /// 14 bytes: digits, flags, CR LF.
    Fs9922,
    /// 14 bytes of 3x, 22000 counts.
    Es51922,
    /// 11 bytes of 3x, 4000 counts.
    Es11,
    /// 14 characters, sent when asked.
    Ascii14,
    /// 16 characters from STX to CR.
    Stx16,
}

named!(Handheld {
    Lcd14 = "lcd14",
    Fs9922 = "fs9922",
    Es51922 = "es51922",
    Es11 = "es11",
    Ascii14 = "ascii14",
    Stx16 = "stx16",
});

impl Handheld {
    /// Bits a second. The ES51922 sends 19230 bits, which is 0.16 % off and
    /// does no harm; a few `ascii14` meters are faster than this.
    pub const fn baud(self) -> u32 {
        match self {
            Self::Lcd14 | Self::Fs9922 | Self::Es11 => 2400,
            Self::Es51922 => 19_200,
            Self::Ascii14 => 1200,
            Self::Stx16 => 9600,
        }
    }

    /// What reads it.
    pub fn decoder(self) -> Box<dyn Decoder> {
        match self {
            Self::Lcd14 => Box::<Framed<Lcd14, 14>>::default(),
            Self::Fs9922 => Box::<Framed<Fs9922, 14>>::default(),
            Self::Es51922 => Box::<Framed<Es51922, 14>>::default(),
            Self::Es11 => Box::<Framed<Es11, 11>>::default(),
            Self::Ascii14 => Box::<Framed<Ascii14, 14>>::default(),
            Self::Stx16 => Box::<Framed<Stx16, 16>>::default(),
        }
    }

    /// The same for recognising, where each of two equal messages counts.
    pub(super) fn recogniser(self) -> Box<dyn Decoder> {
        if self == Self::Es11 {
            Box::new(Framed::<Es11, 11>::keeping_twins())
        } else {
            self.decoder()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back() {
        for kind in Handheld::ALL {
            assert_eq!(Handheld::named(kind.name()), Some(kind));
        }
        assert_eq!(Handheld::named("text"), None);
    }
}
