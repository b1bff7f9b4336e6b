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
}

/// How long to listen at each setting, in seconds: three messages of a meter that sends two a
/// second.
pub const EACH_S: f64 = 1.5;

/// The speeds of meters, those of the commonest formats first.
const SPEEDS: [u32; 6] = [2400, 19_200, 9600, 115_200, 4800, 1200];

/// The settings of one speed, or of all where it is not known; then the same with RTS on.
pub fn plan(baud: Option<u32>) -> Vec<Setting> {
    let speeds = baud.map_or(SPEEDS.to_vec(), |baud| vec![baud]);
    [false, true]
        .into_iter()
        .flat_map(|rts| speeds.iter().map(move |&baud| (baud, rts)))
        .map(|(baud, rts)| Setting {
            baud: Some(baud),
            rts,
        })
        .collect()
}
