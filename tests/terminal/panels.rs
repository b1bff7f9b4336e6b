//! The keys of the panels over the board, in the real binary.

use std::fs;

use libtest_mimic::Trial;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, SPEED, quit};

const MAP: &str = "box,position,rating_a,style,feeds\n\
    D,1,10,mini,amplifier; map light\nD,4,15,mini,washer pump\nD,7,5,mini,airbag control\n\
    D,9,7.5,micro2,tailgate latch switch\nD,12,20,mini,socket\n";

/// The tests of this file.
pub(crate) fn all() -> Vec<Trial> {
    trials![
        the_fuse_map_is_walked_by_arrows_labels_and_clicks,
        the_plan_leads_from_the_fuse_to_its_parts,
        a_sweep_is_typed_fuse_by_fuse_and_summed,
        a_run_is_announced_its_falls_named_and_ended,
        a_label_is_typed_as_the_lid_prints_it_and_kept_with_its_box,
        every_row_of_the_card_is_changed_in_the_session,
    ]
}

/// A car with a fuse map on the bench.
fn mapped(meter: &Meter, folder: &std::path::Path) -> Tty {
    fs::write(folder.join("map.csv"), MAP).unwrap();
    let uri = meter.uri();
    let mut args = vec!["live", "--meter", &uri, "--clock-speed", SPEED];
    args.extend(["--limit", "50mA", "--sleep-timeout", "150s", "--accuracy"]);
    args.extend(["1.0%+3", "--fuses", "map.csv", "--out", "hunt.lull"]);
    Tty::lullboard(&args, &[], folder)
}

/// Presses the left button of the mouse where this text stands, as a terminal reports it.
fn click(board: &mut Tty, text: &str) {
    let screen = board.wait_for(text);
    let (row, line) = screen
        .lines()
        .enumerate()
        .find(|(_, line)| line.contains(text))
        .unwrap();
    let before = line.split(text).next().unwrap().chars().count();
    let (column, row) = (before + 1, row + 1);
    board.press(&format!("\x1b[<0;{column};{row}M\x1b[<0;{column};{row}m"));
}

fn the_fuse_map_is_walked_by_arrows_labels_and_clicks() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.167);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("x");
    board.wait_for("D1   10 A mini, red   in");
    board.press("\x1b[C");
    board.wait_for("D4   15 A mini, blue   in");
    board.press("d12");
    board.wait_for("D12   20 A mini, yellow   in");
    board.press("\r");
    board.wait_for("Enter records: pull D12, now");
    board.press("\r");
    board.wait_for("D12   20 A mini, yellow   OUT");
    board.press("\r");
    board.wait_for("Enter records: refit D12, now");
    board.press("\r");
    board.wait_for("D12   20 A mini, yellow   in");
    board.press("M");
    board.wait_for("Mouse on");
    click(&mut board, "D9  7.5");
    board.wait_for("D9   7.5 A micro2, brown   in");
    board.press("\x1b");
    board.wait_gone("FUSES");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert_eq!(file.matches("\"what\":[\"D12\"]").count(), 2);
}

fn the_plan_leads_from_the_fuse_to_its_parts() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.193);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("l");
    board.wait_for("ABOVE THE LIMIT");
    board.wait_for("Next: pull ");
    board.press("d");
    board.wait_for("It may still be, likeliest first:");
    board.press("\r");
    board.wait_for("Enter records: pull D");
    board.press("\x1b");
    board.wait_gone("Enter records");
    board.press("\x1b");
    board.wait_gone("PLAN:");
    board.press("pD1\r");
    board.wait_for_row(&["pull D1", "not yet"]);
    meter.show(0.026);
    board.wait_for_row(&["pull D1", "clears", "at once"]);
    // The fuse goes back before its parts are told apart.
    board.wait_for_row(&["Next: refit D1", "left"]);
    board.press("u");
    board.wait_for("Enter records: unplug amplifier, now");
    board.press("\x1b");
    board.wait_gone("Enter records");
    quit(&mut board);
}

fn a_sweep_is_typed_fuse_by_fuse_and_summed() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.176);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("v");
    board.wait_for("No fuse was read yet.");
    board.press("\r");
    board.wait_for("D1 10 A mini: millivolts? 1 of 5");
    board.press("1.2");
    board.wait_for("Enter records: D1 1.2 mV, 162 mA");
    board.press("\r");
    board.wait_for("D4 15 A mini: millivolts? 2 of 5");
    board.press("\r");
    board.wait_for("D7 5 A mini: millivolts? 3 of 5");
    board.press("0.0\r");
    board.wait_for("D9 7.5 A micro2 (no table");
    board.press("\x1b");
    board.wait_for("2 fuses, sum ");
    board.wait_for_row(&["D1", "1.2 mV", "162 mA"]);
    board.wait_for_row(&["D7", "0.0 mV", "below "]);
    board.press("x");
    board.wait_for("FUSES");
    board.press("d9v0.4 11m");
    board.wait_for("Enter records: D9 0.4 mV, 36 mA");
    board.press("\x1b");
    board.wait_gone("Enter records");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert_eq!(file.matches("\"drop\":").count(), 2);
}

fn a_run_is_announced_its_falls_named_and_ended() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.158);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("l");
    board.wait_for("SETTLED");
    board.press("a");
    // D7 is for licensed hands.
    board.wait_for("[D1+D4+D9+D12]");
    board.press("\r");
    board.wait_for("RUN: 4 fuses");
    meter.show(0.104);
    board.wait_for("1 fall nobody named");
    board.press("w");
    board.wait_for("one of D1, D4, D9, D12");
    board.press("\r");
    board.wait_for("One of D1, D4, D9, D12?");
    board.press("d4\r\x1b");
    board.wait_for_row(&["pull D4"]);
    board.press("a");
    board.wait_for("Enter ends the run: D1+D4+D9+D12 came out");
    board.press("d1+d4\r");
    board.wait_gone("RUN: ");
    board.press("ad9+d12 every 8s\r");
    board.wait_for("RUN: D9 next, 0 of 2 called, called in");
    board.wait_for("The run is done: 2 of 2 called and marked.");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let pulls: Vec<&str> = file
        .lines()
        .filter(|line| line.contains("\"did\":\"pull\""))
        .collect();
    assert_eq!(pulls.len(), 3, "{pulls:?}");
    assert!(pulls.iter().all(|line| line.contains("\"at\":")));
    assert!(file.contains(r#""did":"run","what":["D1","D4"],"at":"#));
}

fn a_label_is_typed_as_the_lid_prints_it_and_kept_with_its_box() {
    let folder = tempfile::tempdir().unwrap();
    let map = "box,position,rating_a,style,feeds\ncabin,E3,10,mini,amplifier\n\
        cabin,K1,20,mini,socket\nunder hood,K1,30,maxi,fan\n";
    fs::write(folder.path().join("map.csv"), map).unwrap();
    let mut args = vec!["live", "--meter", "manual:", "--fuses", "map.csv"];
    args.extend(["--out", "hunt.lull"]);
    let mut board = Tty::lullboard(&args, &[], folder.path());
    board.wait_for("type what the meter shows");
    board.press("43m\r");
    board.wait_for("typed");
    board.press("pe3\r");
    board.wait_for("out: E3");
    board.press("pE33\r");
    board.wait_for("E33 is not on the map: Enter takes it all the same");
    board.press("\x1b");
    board.wait_for("Nothing recorded.");
    board.press("pK1");
    board.wait_for("K1 of which box: cabin or under hood?");
    board.press(" u\r");
    board.wait_for("out: E3+K1 under hood");
    board.press("x");
    board.wait_for("box under hood");
    board.press("k1");
    board.wait_for("K1   box cabin   20 A mini");
    board.press("\x1b");
    board.wait_gone("FUSES");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    for kept in ["\"what\":[\"cabinE3\"]", "\"what\":[\"under hoodK1\"]"] {
        assert!(file.contains(kept), "{kept}:\n{file}");
    }
    assert!(!file.contains("E33"), "{file}");
}

fn every_row_of_the_card_is_changed_in_the_session() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.167);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("j");
    board.wait_for("CARD: this job");
    board.press("\r");
    board.wait_for("LIMIT, now 50 mA (card)");
    board.press("30mA\r");
    board.wait_for("limit 30 mA (card)");
    // What is not filled in stands at the end of it, and further up once it is.
    board.press(&"\x1b[B".repeat(40));
    board.wait_for("> at the start");
    board.press("\r");
    board.wait_for("AT THE START, now nothing yet");
    board.press("awake\r");
    board.wait_for("> notes");
    board.press("\r");
    board.wait_for("Esc leaves it as it is");
    // Enter alone changes nothing.
    board.press("\r");
    board.wait_gone("Esc leaves it as it is");
    board.press("\x1b");
    board.wait_gone("CARD: this job");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    let set: Vec<&str> = file
        .lines()
        .filter(|line| line.contains("\"set\""))
        .collect();
    assert_eq!(set.len(), 2, "{set:?}");
    assert!(
        set.iter().any(|line| line.contains("\"limit_a\":0.03}")),
        "{set:?}"
    );
}
