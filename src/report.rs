//! What leaves the program as a file or as lines of text. Pure: a record and its judgement in,
//! bytes to whatever writer is given out.
//!
//! `sheet` says what stands in a report, as plain words and tables; `html` and `markdown` only
//! set it. `plot` says where every line and label of the picture lies; `svg` only draws it.

pub mod case;
pub mod csv;
pub mod drop;
pub mod html;
pub mod json;
pub mod markdown;
pub mod plot;
pub mod record_summary;
pub mod safe;
pub mod sheet;
pub mod stamp;
pub mod standing;
pub mod svg;
pub mod text;
pub mod times;
mod written;
