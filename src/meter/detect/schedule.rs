//! At which settings to listen, in which order, and how long.

/// How a serial line is set while listening; always 8N1, DTR on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Setting {
    /// Bits a second; `None` where there is no such thing, as on a socket or a pseudo-terminal.
    pub baud: Option<u32>,
    /// Whether RTS is on. Most optical cables are fed by DTR on and RTS off.
    pub rts: bool,
}

impl Setting {
    /// A connection without a speed.
    pub const NO_SPEED: Self = Self {
        baud: None,
        rts: false,
    };

    const fn at(baud: u32, rts: bool) -> Self {
        Self {
            baud: Some(baud),
            rts,
        }
    }
}

/// How long to listen at each setting, in seconds: three messages of a meter that sends two a
/// second.
pub const EACH_S: f64 = 1.5;

/// The speeds of meters, those of the commonest formats first; then the same with RTS on.
pub const PLAN: [Setting; 12] = [
    Setting::at(2400, false),
    Setting::at(19_200, false),
    Setting::at(9600, false),
    Setting::at(115_200, false),
    Setting::at(4800, false),
    Setting::at(1200, false),
    Setting::at(2400, true),
    Setting::at(19_200, true),
    Setting::at(9600, true),
    Setting::at(115_200, true),
    Setting::at(4800, true),
    Setting::at(1200, true),
];
