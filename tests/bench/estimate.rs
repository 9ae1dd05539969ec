//! How long one meal takes: `cargo bench`. `cargo test` does not run this.

#![allow(missing_docs, reason = "the macros of the benchmark make public items")]

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use platespan::{Library, PlateOptions, estimate_text, plate, read};
use std::hint::black_box;

const MEALS: [(&str, &str); 4] = [
    ("one part", "grilled salmon"),
    ("a pattern", "cheeseburger, no onion, fries"),
    (
        "two open choices",
        "trout with choice of two sides, soup or salad, ate most of it",
    ),
    (
        "a whole evening",
        "lentil soup; lamb kofta, rice, hummus, tomato salad, flatbread, olives; zorbleworth; baklava; two glasses of red wine",
    ),
];

fn meals(criterion: &mut Criterion) {
    criterion.bench_function("start", |bencher| bencher.iter(Library::embedded));
    let library = Library::embedded();
    let options = PlateOptions::default();
    for (name, text) in MEALS {
        criterion.bench_function(&format!("read/{name}"), |bencher| {
            bencher.iter(|| read::read(&library, black_box(text)))
        });
        let meal = read::read(&library, text).expect("a meal");
        let plate = plate::plate(&library, text, &meal, &options);
        criterion.bench_function(&format!("estimate/{name}"), |bencher| {
            bencher.iter_batched(
                || plate.clone(),
                |plate| platespan::estimate::estimate(&library, text, plate),
                BatchSize::SmallInput,
            )
        });
        criterion.bench_function(&format!("whole way/{name}"), |bencher| {
            bencher.iter(|| estimate_text(&library, black_box(text), &options))
        });
    }
}

criterion_group!(benches, meals);
criterion_main!(benches);
