//! Whole advice for a large yard: 12 zones, 30 and more years of daily weather, 20 years of entries. Wanted: under 20 ms.

mod big_yard;

use almanac::Almanac;
use yard::{Weather, advise, fold};

fn main() {
    divan::main();
}

#[divan::bench]
fn fold_20_years(bencher: divan::Bencher<'_, '_>) {
    let entries = big_yard::entries();
    bencher.bench(|| fold(divan::black_box(&entries), big_yard::ON));
}

#[divan::bench]
fn build_weather_37_years(bencher: divan::Bencher<'_, '_>) {
    let days = big_yard::weather_days();
    bencher.bench(|| Weather::build(big_yard::PLACE, divan::black_box(&days), Almanac::embedded()));
}

#[divan::bench]
fn advice_from_entries(bencher: divan::Bencher<'_, '_>) {
    let entries = big_yard::entries();
    let weather = Weather::build(big_yard::PLACE, &big_yard::weather_days(), Almanac::embedded()).expect("weather");
    bencher.bench(|| {
        let yard = fold(divan::black_box(&entries), big_yard::ON);
        advise(&yard, &weather, Almanac::embedded(), big_yard::ON)
    });
}
