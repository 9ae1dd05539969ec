//! Any text is read, put on a plate, estimated and reported without a panic, and what comes out is a number.

#![no_main]

use libfuzzer_sys::fuzz_target;
use platespan::report::{Look, csv_rows, json_meal, table};
use platespan::{Library, Nutrient, PlateOptions, estimate_text};
use std::sync::OnceLock;

fuzz_target!(|text: &str| {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    let library = LIBRARY.get_or_init(Library::embedded);
    let Ok(estimate) = estimate_text(library, text, &PlateOptions::default()) else {
        return;
    };
    for nutrient in Nutrient::ALL {
        let range = estimate.total(nutrient);
        assert!(range.low >= 0.0 && range.low <= range.high * (1.0 + 1e-9) && range.high.is_finite());
    }
    for width in [24, 80, 160] {
        let _ = table(&estimate, &Look { width, ..Look::default() });
    }
    let _ = csv_rows(&estimate, "", true);
    let _ = json_meal(library, &estimate, None);
});
