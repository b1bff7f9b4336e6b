//! Rules 3: every threshold of the judge, with its unit, its reason and its source.
//!
//! What can be computed (from U, from exposure, from counts) is computed where it is needed and
//! does not stand here.

/// Which edition of the rules judges; stands in every report.
pub const EDITION: &str = "3";

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Its name in the code.
    pub name: &'static str,
    /// Its value.
    pub value: f64,
    /// Its unit; `1` for a share or a count.
    pub unit: &'static str,
    /// Why there is such a rule, and where its value comes from.
    pub reason: &'static str,
}

macro_rules! rules {
    ($($name:ident = $value:literal, $unit:literal, $reason:literal;)+) => {
        $(#[doc = concat!($reason, " (", $unit, ")")] pub const $name: f64 = $value;)+
        /// Every rule, in the order in which a record meets them.
        pub const TABLE: &[Rule] = &[$(Rule {
            name: stringify!($name),
            value: $value,
            unit: $unit,
            reason: $reason,
        }),+];
    };
}

rules! {
    // Evidence.
    SPARSE_S = 20.0, "s", "Readings further apart are typed, or logged by the minute: judged one by one. Common practice, no source";
    HOLE_S = 60.0, "s", "Evidence missing for longer is shown as blind. Common practice, no source";
    STILL_TIMES = 3.0, "1", "A display that no digit moves on for twice a settle, through a deed, may be on HOLD when it never stood still for a third of that otherwise. Common practice, no source";
    STILL_ALONE_TIMES = 20.0, "1", "... or for a twentieth, where no deed lies in it. Common practice, no source";
    STILL_BLOCKS = 100.0, "1", "... fewer readings cannot be told to stand still. Common practice, no source";
    FINE_PLACE_A = 0.0002, "A", "A place finer than a car's own unrest moves within ten minutes, whatever the display showed before. Common practice, no source";
    FINE_SHARE = 0.005, "1", "... when it is also this small a share of what it shows. Common practice, no source";
    FLICKER_SHARE = 0.1, "1", "A display that moves in fewer of its readings at like currents repeats itself honestly. Common practice, no source";
    DEAD_A = 0.001, "A", "No car with its battery connected draws less: clocks and sleeping modules take milliamperes. Common practice, no source";
    CHARGED_A = 0.1, "A", "More than this into the battery is a charger, and no meter's zero. Common practice, no source";
    PARKED_MAX_A = 10.0, "A", "No parked car draws more for minutes: a wrong unit, or a clamp on another cable. Common practice, no source";
    // The battery's voltage.
    CHARGER_V = 13.2, "V", "A 12 V battery stands below this at rest, and above it while a charger or the engine feeds it and for minutes after. Common practice, no source";
    CHARGER_S = 60.0, "s", "... for so long, or in a typed reading. Common practice, no source";
    RECOVER_S = 300.0, "s", "After amperes, and under them, the voltage is not that at rest; so long after them it has come back near it. Common practice, no source";
    FALL_S = 3600.0, "s", "In a shorter time no sleeping car moves the voltage by what a voltmeter shows. Common practice, no source";
    FALL_END_S = 60.0, "s", "... and its ends are means over so long. Common practice, no source";
    FALL_SEEN_SHARE = 0.9, "1", "The current has to be seen for this share of a fall to explain it. Common practice, no source";
    // Hands.
    MARK_TOLERANCE_S = 8.0, "s", "The key comes up to this long after the deed or before it. Common practice, no source";
    EDGE_S = 1.5, "s", "Readings this close after a deed are of its edge. Common practice, no source";
    // Floor and arrival.
    FLOOR_S = 31.0, "s", "The floor is taken over so long: longer than a blink of a module, shorter than a stage of the sleep. Found by simulation";
    FLOOR_SHARE = 0.2, "1", "... and is this quantile of it. Found by simulation";
    NOISE_TIMES = 5.0, "1", "Noise strays so many times its own middle difference from the low quantile: 0.8 sigma for the quantile and four beyond the mean, where the difference is 0.95. Computed for the normal distribution";
    WANDER_MAX_SHARE = 0.6, "1", "A level's own wander is never a larger share of it. Common practice, no source";
    NEAR_SHARE = 0.25, "1", "A car has arrived when its floor is within the same level or this share of its lowest, and was woken when it rose by as much. Common practice, no source";
    // Texture and wakes.
    TEXTURE_S = 10.0, "s", "What comes and goes oftener than once in so long is texture of the level, and wider blocks look past it; shorter runs that come oftener than once in a settle are too. Common practice, no source";
    FEW_RUNS = 4.0, "1", "So many short runs together are texture; fewer are events, however short. Common practice, no source";
    // Level.
    STEP_BINS = 5.0, "1", "No step lies closer to an end than so many means of it, and its sharpness is seen in as many beside it. Found by simulation";
    PIECES = 15.0, "1", "A slope is held against how the means of so many pieces scatter, by noise and by its slow part. Found by simulation";
    STEP_F = 30.0, "1", "A step of the level has to stand out of its noise by this ratio of variances: once in some thousand stretches by chance. Found by simulation";
    STEP_A = 0.0012, "A", "Smaller steps of a resting level matter to nobody. Common practice, no source";
    STEP_SHARE = 0.01, "1", "... nor do such shares of it. Common practice, no source";
    LOOK_PLACES = 60.0, "1", "What the car does by itself in a few seconds is seen in so many places before the mark. Found by simulation";
    LOOK_INFLATE = 1.8, "1", "... and where there are fewer, noise counts so much more, for what neighbouring seconds have in common. Found by simulation (benches/reach.rs)";
    LOOK_S = 300.0, "s", "A change is measured over so long on either side: longer would ask the car to stand still for longer than it did. Found by simulation";
    // Asleep.
    REST_S = 90.0, "s", "At or below the limit a level that stood so long can only fall further. Common practice, no source";
    SETTLE_S = 120.0, "s", "So long a level must stand to be one, where something else says that the car sleeps; a fall out of it so shortly before a removal was marked may be that removal. Common practice, no source";
    AWAKE_A = 0.5, "A", "Modules at work draw amperes, a sleeping car tens of milliamperes; what reaches so far may be a hand. Common practice, no source";
    LIE_TIMES = 1.5, "1", "A stated time-out may be too short by half: until then `above` is so far. Common practice, no source";
    // Wakes and hands.
    REGULAR_PERIODS = 1.5, "1", "Regular wakes have stopped when none came for so many periods. Computed from the spread that a regular cycle may have";
    FEW_EVENTS = 2.0, "1", "A hand, and falling asleep, make no more events than this. Common practice, no source";
    TOUCH_S = 45.0, "s", "One event longer than this, in a short watch, is more likely a hand than a wake. Common practice, no source";
    TOUCH_AS = 15.0, "As", "... and takes so much. Common practice, no source";
    TOUCH_WATCH_S = 21600.0, "s", "... and the watch is shorter than this. Common practice, no source";
    SAME_A = 0.005, "A", "Levels closer than this are the same level, and a part of a fall below it is none. Common practice, no source";
    SAME_SHARE = 0.05, "1", "... or closer than this share; holes below this share of the watch are not worth a word. Common practice, no source";
    SPARSE_READINGS = 2.5, "1", "So many readings minutes apart make a level, or are one moment. Common practice, no source";
    AT_ONCE_S = 20.0, "s", "What fell within this of a removal is its own; later it may be a stage. A level that stood for so long can be compared where nothing else may still come. Common practice, no source";
    // By the hour.
    PATTERN_WATCH_S = 86400.0, "s", "A car that wakes by the clock does so once a day: in a shorter watch no hour stands out. Common practice, no source";
    HOUR_WIDE_S = 3600.0, "s", "Wakes further apart on the clock come at no one hour. Common practice, no source";
    // Sending the technician home.
    LONG_WAIT_S = 3600.0, "s", "Nobody waits beside a car for longer than this: it is left to record. Common practice, no source";
    FEW_LEFT = 4.0, "1", "So many candidates are few. Common practice, no source";
    // Comparisons.
    SAME_CHANGE_SHARE = 0.10, "1", "Two measures of one change are the same when they differ by less than this share of it, and a part below it is none. Common practice, no source";
    ALIKE = 4.0, "1", "Wakes of another size, by this factor of charge, are another thing. Common practice, no source";
    CHANCE = 0.005, "1", "A change of the rate of wakes counts when it comes by chance less often: a wrong word here sends somebody to replace a part. Convention of this program";
    OPENED_A = 0.010, "A", "A car that draws so much more or less than when it is left alone was opened. Common practice, no source";
    OPENED_SHARE = 0.15, "1", "... or such a share. Common practice, no source";
    MATTER_A = 0.003, "A", "Smaller changes are within what any car does by itself. Common practice, no source";
    SUSPECT_A = 0.020, "A", "A smaller fall with one circuit is that of a circuit as it should be, and a smaller rise woke nobody. Workshop manuals: up to 20 mA the unit is good (Establishing unfused components, 2000), a step of more than 10 to 20 mA is suspect (Battery Electrical Drain/Parasitic Load Test, 2010)";
    UNSEEN_TIMES = 1.5, "1", "A change that nobody saw happen, neither at once nor in stages, must be so many times U: k = 3. Computed: a null trial exceeds k = 2 once in twenty times";
    BLUNT_SHARE = 0.5, "1", "A change that U hides counts as none only where U is below this share of the limit. Common practice, no source";
    SPREAD_SHARE = 0.002, "1", "Two stays of one state differ by at least so much. Found by simulation";
    KNOWN_A = 0.0001, "A", "No level is known better, however quiet the display. Common practice, no source";
    RESERVE_A_PER_MIN = 0.00025, "A/min", "The limit for each minute of reserve capacity: maker training texts, from memory, not found at source. With a maker's bulletin's 0.6 Ah a minute (read), of which 40 % may go, it always gives 40 days. Computed";
    WATCH_MAX_S = 43200.0, "s", "A night: nobody is sent away for more at once, and a car that never rests is averaged over its newest one. Common practice, no source";
    MA_JACK_OHM = 1.8, "ohm", "A milliampere jack drops about this much for each ampere. Trade table 4.1: 1 to 11 mV/mA, 1.8 to 2 common";
    MA_RANGE_TOP_A = 0.2, "A", "... its range ends here. Trade table 4.1";
    MA_RANGE_RESOLUTION_A = 0.0001, "A", "... and a display as fine as this is such a range already. Trade table 4.1";
    SURE = 0.95, "1", "A verdict, a likelihood or an interval is held to this. Convention: JCGM 106:2012, 8.3";
    NO_ACCURACY_SHARE = 0.10, "1", "Without the meter's accuracy nothing is said this close to the limit: common handhelds err by a few percent and counts there. Computed from the trade's plain handheld";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_says_where_it_comes_from_and_fewer_than_seventy_do() {
        assert!(TABLE.len() < 70);
        for rule in TABLE {
            let sourced = [
                "no source",
                "simulation",
                "Computed",
                "Convention",
                "Workshop manuals:",
                "Trade table",
            ];
            assert!(
                sourced.iter().any(|word| rule.reason.contains(word))
                    || rule.reason.starts_with("..."),
                "{rule:?}"
            );
        }
    }
}
