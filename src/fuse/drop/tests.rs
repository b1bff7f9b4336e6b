//! Vectors of the millivolt method, each with its source, and the printed slips as negatives.

use super::typed_millivolts::mv_step;
use super::*;

fn blade(rating_a: f64) -> Fuse {
    printed(Style::Blade, rating_a, None)
}

fn printed(style: Style, rating_a: f64, ohms: Option<f64>) -> Fuse {
    Fuse {
        printed: Some(Printed { style, rating_a }),
        ohms,
    }
}

fn read(text: &str) -> Millivolts {
    text.parse().unwrap()
}

fn through(rating_a: f64, text: &str) -> Drawn {
    drawn(&blade(rating_a), read(text), None).unwrap()
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} for {expected}");
}

/// Computed from data sheet resistances, from memory. A trade page (read)
/// gives 130 mA for the first.
#[test]
fn millivolts_to_amps() {
    near(through(10.0, "1.0").a, 0.1299, 5e-5);
    near(through(20.0, "0.3").a, 0.0888, 5e-5);
}

/// Trade report of 2017 (read): a 15 A mini, 0.1 mV is 22 mA and 1.0 mV is 218 mA.
#[test]
fn a_published_mini_table_comes_back() {
    let mini = printed(Style::Mini, 15.0, None);
    near(drawn(&mini, read("0.1"), None).unwrap().a, 0.022, 5e-4);
    near(drawn(&mini, read("1.0"), None).unwrap().a, 0.218, 5e-4);
}

/// Computed: 50 mA as a drop, and why a 0.1 mV meter cannot clear a 30 A fuse.
#[test]
fn a_coarse_meter_cannot_clear_a_large_fuse() {
    for (rating_a, mv) in [(5.0, 0.893), (10.0, 0.385), (20.0, 0.169), (30.0, 0.099)] {
        let ohms = through(rating_a, "1.000").ohms.best;
        near(0.05 * ohms * 1e3, mv, 0.000_51);
    }
    let questions = |rating_a, text| through(rating_a, text).questions.join("; ");
    assert!(questions(30.0, "0.1").contains("cannot clear"));
    assert_eq!(questions(10.0, "0.1"), "");
    assert_eq!(questions(30.0, "0.10"), "");
}

/// Computed: 0.40 mV on 10 A, meter ± (0.5 % + 2 counts), the resistance
/// ± 5 % rectangular.
#[test]
fn the_count_decides_over_u() {
    let accuracy: Option<MvAccuracy> = "0.5%+2".parse().ok();
    for (step_mv, u_a) in [(0.1, 0.0304), (0.01, 0.00446)] {
        let read = Millivolts { mv: 0.40, step_mv };
        let drawn = drawn(&blade(10.0), read, accuracy).unwrap();
        near(drawn.a, 0.0519, 5e-5);
        near(drawn.u_a(), u_a, u_a * 0.002);
        assert!(drawn.band.low < drawn.a - drawn.meter_u_a && drawn.a < drawn.band.high);
    }
}

/// Computed: 0.0 on 30 A with a 0.1 mV meter is "below about 25 mA to 150 mA".
#[test]
fn nothing_shown_is_never_zero() {
    let drawn = through(30.0, "0.0");
    let unseen = drawn.unseen.unwrap();
    near(unseen.below_a, 0.0254, 5e-5);
    near(unseen.at_most_a, 0.1523, 5e-5);
    assert_eq!(drawn.in_words(), "below 25 mA (at most 150 mA)");
    near(
        through(10.0, "-0.00").unseen.unwrap().below_a,
        0.000_649,
        1e-6,
    );
    // A coarser count than the places say: nothing was seen either.
    let read = Millivolts {
        mv: 0.04,
        step_mv: 0.1,
    };
    assert!(
        super::drawn(&blade(10.0), read, None)
            .unwrap()
            .unseen
            .is_some()
    );
}

/// A trade page (read) equates 6 mV with 60 mA: an error of print. It is 779 mA on a 10 A blade,
/// and the 100 mOhm it would need is questioned.
#[test]
fn the_printed_slip_of_6_mv_is_questioned() {
    near(through(10.0, "6.0").a, 0.779, 0.0005);
    for rating_a in [2.0, 5.0, 10.0, 30.0] {
        let slip = Fuse {
            ohms: Some(0.1),
            ..blade(rating_a)
        };
        let drawn = drawn(&slip, read("6.0"), None).unwrap();
        near(drawn.a, 0.060, 1e-9);
        assert!(
            drawn.questions[0].contains("not 100.0"),
            "{:?}",
            drawn.questions
        );
    }
    let untold = printed(Style::Micro2, 10.0, Some(0.1));
    let drawn = drawn(&untold, read("6.0"), None).unwrap();
    assert!(
        drawn.questions[0].contains("no fuse from 2 A up"),
        "{:?}",
        drawn.questions
    );
}

/// Data sheet (from memory): the drop at the rated current belongs to a hot fuse, so the cold
/// resistance makes more of it than the rating: questioned, not believed.
#[test]
fn more_than_the_rating_is_questioned() {
    let drawn = through(10.0, "109");
    assert!(drawn.a > 14.0);
    assert!(
        drawn.questions[0].contains("more than its 10 A"),
        "{:?}",
        drawn.questions
    );
    assert!(through(10.0, "30.0").questions[0].contains("warm"));
    let blown = super::drawn(&blade(10.0), read("12400"), None).unwrap_err();
    assert!(blown.to_string().contains("blown"), "{blown}");
}

#[test]
fn a_negative_drop_is_a_current_and_a_question() {
    let drawn = through(10.0, "-0.40");
    near(drawn.a, 0.0519, 5e-5);
    assert!(drawn.reversed && drawn.questions[0].contains("back-feed"));
}

#[test]
fn a_measured_fuse_needs_no_table_and_has_a_narrower_band() {
    let measured = Fuse {
        ohms: Some(0.0077),
        ..blade(10.0)
    };
    let (own, table) = (
        drawn(&measured, read("4.00"), None).unwrap(),
        through(10.0, "4.00"),
    );
    assert!(own.questions.is_empty(), "{:?}", own.questions);
    near(own.a, table.a, 1e-9);
    assert!(own.band.high - own.band.low < table.band.high - table.band.low);
    let micro = printed(Style::Micro2, 10.0, None);
    assert!(matches!(
        drawn(&micro, read("1.0"), None),
        Err(DropError::NoTable(_))
    ));
    let micro = Fuse {
        ohms: Some(0.0077),
        ..micro
    };
    assert!(drawn(&micro, read("1.0"), None).is_ok());
}

#[test]
fn the_written_places_tell_the_count() {
    near(read("2.3 mV").step_mv, 0.1, 1e-12);
    near(read("3").step_mv, 1.0, 1e-12);
    near(read("0,40").step_mv, 0.01, 1e-12);
    for text in ["", "mV", "1e3", "2.3V", "nan", "inf", "1.2.3"] {
        assert!(text.parse::<Millivolts>().is_err(), "{text:?}");
    }
    for text in ["2", "0.5%", "0.5%+x", "-1%+2", "0.5+2"] {
        assert!(text.parse::<MvAccuracy>().is_err(), "{text:?}");
    }
    for text in ["0", "-0.1", "fine"] {
        assert!(mv_step(text).is_err(), "{text:?}");
    }
}

#[test]
fn a_fuse_that_nobody_described_needs_its_resistance() {
    let nothing = Fuse {
        printed: None,
        ohms: None,
    };
    let refused = drawn(&nothing, read("1.0"), None).unwrap_err();
    assert!(
        refused.to_string().contains("style and rating"),
        "{refused}"
    );
    let measured = Fuse {
        ohms: Some(0.0077),
        ..nothing
    };
    let drawn = drawn(&measured, read("1.0"), None).unwrap();
    near(drawn.a, 0.1299, 5e-5);
    assert!(drawn.questions.is_empty(), "{:?}", drawn.questions);
}
