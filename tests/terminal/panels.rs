//! The keys of the panels over the board, in the real binary.

use std::fs;

use crate::meter::Meter;
use crate::tty::Tty;
use crate::{EVERY, SPEED, quit};

const MAP: &str = "box,position,rating_a,style,feeds\n\
    B,1,10,mini,radio; amplifier\nB,2,15,mini,horn\nB,3,5,mini,airbag control\n\
    B,4,7.5,micro2,seat module\nB,12,20,mini,socket\n";

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

#[test]
fn the_fuse_map_is_walked_by_arrows_labels_and_clicks() {
    let folder = tempfile::tempdir().unwrap();
    let meter = Meter::at(folder.path(), EVERY, 0.182);
    let mut board = mapped(&meter, folder.path());
    board.wait_for("receiving from");
    board.press("x");
    board.wait_for("B1   10 A mini, red   in");
    board.press("\x1b[C");
    board.wait_for("B2   15 A mini, blue   in");
    board.press("b12");
    board.wait_for("B12   20 A mini, yellow   in");
    board.press("\r");
    board.wait_for("Enter records: pull B12, now");
    board.press("\r");
    board.wait_for("B12   20 A mini, yellow   OUT");
    board.press("\r");
    board.wait_for("Enter records: refit B12, now");
    board.press("\r");
    board.wait_for("B12   20 A mini, yellow   in");
    board.press("M");
    board.wait_for("Mouse on");
    click(&mut board, "B4 7.5");
    board.wait_for("B4   7.5 A micro2, brown   in");
    board.press("\x1b");
    board.wait_gone("FUSES");
    quit(&mut board);
    let file = fs::read_to_string(folder.path().join("hunt.lull")).unwrap();
    assert_eq!(file.matches("\"what\":[\"B12\"]").count(), 2);
}
