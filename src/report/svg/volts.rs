//! The battery's voltage under the current: its frame, the ends of its axis, its curve.

use std::fmt::{self, Formatter};

use super::{path, words};
use crate::report::plot::VoltsField;

pub(super) fn draw(f: &mut Formatter<'_>, volts: &VoltsField) -> fmt::Result {
    let field = volts.field;
    writeln!(
        f,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"#111\" stroke-width=\"0.8\"/>",
        field.left, field.top, field.width, field.height
    )?;
    for (end, down) in volts.ends.iter().zip([9.0, 0.0]) {
        words(f, "r", (field.left - 7.0, end.at + down), &end.label)?;
    }
    write!(
        f,
        "<path class=\"volts\" fill=\"none\" stroke-linejoin=\"round\" stroke=\"#5a3a10\" stroke-width=\"1.3\" d=\""
    )?;
    path(f, &volts.lines)?;
    f.write_str("\"/>\n")?;
    let middle = field.top + field.height / 2.0 + 4.3;
    words(f, "r", (field.left - 7.0, middle), "battery")
}
