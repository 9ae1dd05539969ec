//! From a menu's words to a plate: which components, how much of each, and what energy and macros that means, with an
//! honest range and every figure's source.
//!
//! The folders are the pipeline: [`library`] → [`read`] → [`plate`] → [`estimate`]. Dependencies run one way.
//!
//! ```
//! use platespan::{Library, Nutrient, PlateOptions, estimate_text};
//!
//! let library = Library::embedded();
//! let estimate = estimate_text(&library, "miso-glazed black cod, sesame rice, charred broccolini", &PlateOptions::default())?;
//! let energy = estimate.total(Nutrient::Energy);
//! assert!(energy.low < energy.likely && energy.likely < energy.high);
//! # Ok::<(), platespan::ReadError>(())
//! ```

pub mod cli;
pub mod entries;
pub mod estimate;
pub mod eye;
pub mod library;
pub mod menu;
pub mod plate;
pub mod questions;
pub mod read;
pub mod reply;
pub mod report;
pub mod review;
pub mod tally;

pub use estimate::{Estimate, Nutrient, Range};
pub use library::{Library, LibraryError, Overlay};
pub use plate::{Plate, PlateOptions};
pub use read::ReadError;

/// Reads a text, puts it on a plate and estimates it: the whole way of a menu line.
///
/// # Errors
/// [`ReadError`] where there is nothing to read, too much of it, or no food in it.
pub fn estimate_text(
    library: &Library,
    text: &str,
    options: &PlateOptions,
) -> Result<Estimate, ReadError> {
    let meal = read::read_under(library, text, options.section.as_deref())?;
    let plate = plate::plate(library, text, &meal, options);
    Ok(estimate::estimate(library, text, plate))
}
