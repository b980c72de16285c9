//! Pictures made of cells: one path a shade, cells beside each other joined into one run.

use maud::{Markup, html};

/// A lattice of cells over the map, row by row from the south-west.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lattice {
    /// West and south edge (m).
    pub(crate) origin_m: [f64; 2],
    /// Side of a cell (m).
    pub(crate) cell_m: f64,
    /// Cells from west to east.
    pub(crate) columns: usize,
    /// Cells from south to north.
    pub(crate) rows: usize,
}

fn at(v: f64) -> String {
    let text = format!("{v:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// One path for each shade that is used, in map coordinates; `shade` tells the shade of a cell, `None` leaves it open.
pub(crate) fn picture(lattice: Lattice, shades: &[&str], shade: impl Fn(usize) -> Option<usize>) -> Markup {
    let mut paths = vec![String::new(); shades.len()];
    let Lattice { origin_m: [west, south], cell_m, columns, rows } = lattice;
    for row in 0..rows {
        let mut column = 0;
        while column < columns {
            let here = shade(row * columns + column);
            let start = column;
            while column < columns && shade(row * columns + column) == here {
                column += 1;
            }
            if let Some(path) = here.and_then(|s| paths.get_mut(s)) {
                let wide = (column - start) as f64 * cell_m;
                let (x, y) = (west + start as f64 * cell_m, south + row as f64 * cell_m);
                path.push_str(&format!("M{} {}h{}v{}h-{}z", at(x), at(y), at(wide), at(cell_m), at(wide)));
            }
        }
    }
    html! {
        @for (class, path) in shades.iter().zip(&paths) {
            @if !path.is_empty() { path class=(format!("cell {class}")) d=(path) {} }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three cells of one shade in a row are one run; an open cell is left out; a shade that is not used has no path.
    #[test]
    fn runs_are_joined() {
        let lattice = Lattice { origin_m: [10.0, 20.0], cell_m: 0.5, columns: 4, rows: 1 };
        let shades = [Some(0), Some(0), None, Some(1)];
        let drawn = picture(lattice, &["low", "high", "never"], |i| shades[i]).into_string();
        assert!(drawn.contains(r#"<path class="cell low" d="M10 20h1v0.5h-1z">"#), "{drawn}");
        assert!(drawn.contains(r#"<path class="cell high" d="M11.5 20h0.5v0.5h-0.5z">"#), "{drawn}");
        assert!(!drawn.contains("never"));
    }
}
