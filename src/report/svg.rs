//! The plot drawn as SVG 1.1: no script, no link, no font of its own. Patterns and words tell
//! apart what colours do, so that it reads the same from a grey printer.

mod axes;
mod phase_strip;
mod volts;

use std::fmt::{self, Display, Formatter};

use super::plot::{Curve, CurvePoint, Flag, Plot, PlotSpan, WIDTH};
use super::safe::Markup;

/// A plot as it stands in a file; `to_string` or `write!` draws it.
#[derive(Clone, Copy, Debug)]
pub struct Svg<'a>(pub &'a Plot);

const PATTERNS: &str = r##"<defs>
<pattern id="falling" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#fff"/><path d="M-1,1 l2,-2 M0,6 l6,-6 M5,7 l2,-2" stroke="#333" stroke-width="1.1"/></pattern>
<pattern id="plateau" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#fff"/><circle cx="3" cy="3" r="1.2" fill="#333"/></pattern>
<pattern id="stirring" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#fff"/><path d="M0,0 l6,6 M6,0 l-6,6" stroke="#333" stroke-width="1"/></pattern>
<pattern id="blind" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="#fff"/><path d="M0,2 h4" stroke="#777" stroke-width="1"/></pattern>
<pattern id="gap" width="9" height="9" patternUnits="userSpaceOnUse"><path d="M-1,1 l2,-2 M0,9 l9,-9 M8,10 l2,-2" stroke="#9a9a9a" stroke-width="0.8"/></pattern>
</defs>
"##;

const STYLE: &str = "<style>text{font-family:Helvetica,Arial,'Liberation Sans','DejaVu Sans',sans-serif;font-size:12.5px;fill:#111}\
.halo{paint-order:stroke;stroke:#fff;stroke-width:3.5px;stroke-linejoin:round}\
.r{text-anchor:end}.m{text-anchor:middle}.b{font-weight:bold}</style>\n";

/// Wakes are often a hair wide: a plain grey shows where a pattern would not.
const WAKE: &str = "#d8d8d8";
const GAP: &str = "url(#gap)";

impl Display for Svg<'_> {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let plot = self.0;
        writeln!(
            f,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {:.0}\" width=\"{WIDTH}\" \
             height=\"{:.0}\" role=\"img\" aria-labelledby=\"plot-title plot-told\">",
            plot.height, plot.height
        )?;
        writeln!(
            f,
            "<title id=\"plot-title\">{}</title>",
            Markup(&plot.title)
        )?;
        writeln!(f, "<desc id=\"plot-told\">{}</desc>", Markup(&plot.told))?;
        f.write_str(STYLE)?;
        f.write_str(PATTERNS)?;
        writeln!(
            f,
            "<rect width=\"{WIDTH}\" height=\"{:.0}\" fill=\"#fff\"/>",
            plot.height
        )?;
        evidence(f, plot)?;
        axes::grid(f, plot)?;
        axes::time_axis(f, plot)?;
        for flag in &plot.flags {
            line_of_flag(f, plot, flag)?;
        }
        for (index, curve) in plot.curves.iter().enumerate() {
            draw_curve(f, plot, curve, index + 1 < plot.curves.len())?;
        }
        limit(f, plot)?;
        if let Some(volts) = &plot.volts {
            volts::draw(f, volts)?;
        }
        for flag in plot.flags.iter().filter(|flag| !flag.label.is_empty()) {
            words(f, "halo", (flag.x + 3.0, flag.y), &flag.label)?;
        }
        for band in &plot.bands {
            phase_strip::draw_band(f, plot, band)?;
        }
        phase_strip::legend(f, plot)?;
        f.write_str("</svg>\n")
    }
}

/// What lies behind everything: wakes and gaps.
fn evidence(f: &mut Formatter<'_>, plot: &Plot) -> fmt::Result {
    let mut shade = |stretches: &[PlotSpan], fill: &str| {
        stretches.iter().try_for_each(|stretch| {
            rect(
                f,
                *stretch,
                plot.field.top,
                plot.field.height,
                &format!("fill=\"{fill}\""),
            )
        })
    };
    shade(&plot.wakes, WAKE)?;
    shade(&plot.gaps, GAP)
}

fn rect(f: &mut Formatter<'_>, at: PlotSpan, y: f64, height: f64, how: &str) -> fmt::Result {
    let PlotSpan { x, width } = at;
    writeln!(
        f,
        "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" {how}/>"
    )
}

/// Words at a place, in the classes that [`STYLE`] knows; none is from the left in plain ink.
fn words(f: &mut Formatter<'_>, class: &str, (x, y): (f64, f64), said: &str) -> fmt::Result {
    let class = match class {
        "" => String::new(),
        class => format!(" class=\"{class}\""),
    };
    writeln!(
        f,
        "<text{class} x=\"{x:.1}\" y=\"{y:.1}\">{}</text>",
        Markup(said)
    )
}

fn line_of_flag(f: &mut Formatter<'_>, plot: &Plot, flag: &Flag) -> fmt::Result {
    let field = plot.field;
    let (x, bottom) = (flag.x, field.top + field.height);
    if flag.label.is_empty() {
        return writeln!(
            f,
            "<path d=\"M{x:.1},{:.1} v9\" stroke=\"#111\" stroke-width=\"1.4\"/>",
            field.top
        );
    }
    writeln!(
        f,
        "<path d=\"M{x:.1},{:.1} V{:.1}\" stroke=\"#111\" stroke-width=\"0.8\"/>\
         <path d=\"M{x:.1},{:.1} V{bottom:.1}\" stroke=\"#555\" stroke-width=\"0.7\" stroke-dasharray=\"2 3\"/>",
        flag.y - 10.0,
        field.top,
        field.top
    )
}

fn draw_curve(f: &mut Formatter<'_>, plot: &Plot, curve: &Curve, is_earlier: bool) -> fmt::Result {
    let stroke = if is_earlier {
        "stroke=\"#8f8f8f\" stroke-width=\"2.6\""
    } else {
        "stroke=\"#10304a\" stroke-width=\"1.3\""
    };
    write!(
        f,
        "<path class=\"curve\" fill=\"none\" stroke-linejoin=\"round\" stroke-linecap=\"round\" {stroke} d=\""
    )?;
    path(f, &curve.lines)?;
    f.write_str("\"/>\n")?;
    for x in &curve.overs {
        let top = plot.field.top;
        writeln!(
            f,
            "<path class=\"over\" d=\"M{x:.1},{top:.1} l-4,7 h8 z\" fill=\"#111\"/>"
        )?;
    }
    let last = curve.lines.last().and_then(|line| line.last());
    if let Some(CurvePoint { x, y }) = last.filter(|_| !curve.name.is_empty()) {
        // Two curves that end together would write over each other.
        let y = if is_earlier { y - 3.0 } else { y + 11.0 };
        words(f, "halo b", (x + 5.0, y), curve.name)?;
    }
    Ok(())
}

/// The strokes of a curve; a lone point is drawn as a short one.
fn path(f: &mut Formatter<'_>, lines: &[Vec<CurvePoint>]) -> fmt::Result {
    for line in lines {
        for (index, CurvePoint { x, y }) in line.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            write!(f, "{letter}{x:.1},{y:.1}")?;
        }
        if let [CurvePoint { x, y }] = line.as_slice() {
            write!(f, "L{:.1},{y:.1}", x + 0.5)?;
        }
    }
    Ok(())
}

fn limit(f: &mut Formatter<'_>, plot: &Plot) -> fmt::Result {
    let (y, field) = (plot.limit.y, plot.field);
    writeln!(
        f,
        "<path class=\"limit\" d=\"M{:.1},{y:.1} h{:.1}\" stroke=\"#8c1c13\" stroke-width=\"1.8\" stroke-dasharray=\"9 4\"/>\
         <text class=\"halo b\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
        field.left,
        field.width,
        plot.limit.x,
        y - 5.0,
        Markup(&plot.limit.label)
    )
}
