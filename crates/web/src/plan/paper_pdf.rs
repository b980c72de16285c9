//! A sheet as PDF: vectors, and the fonts every reader has, so that nothing is embedded.

use pdf_writer::types::{ColorSpaceOperand, LineCapStyle, LineJoinStyle, PaintType, TextRenderingMode, TilingType};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::Anchor;
use super::letters::{Weight, width};
use super::look::{Colour, Fill, INK, Look, PAPER, Tile};
use super::paper::{Ink, Page, Words};
use super::path::{Arc, At, Path, Step};
use super::sheet::Sheet;
use super::win_ansi::encoded;

const PLAIN: Name<'static> = Name(b"F1");
const BOLD: Name<'static> = Name(b"F2");
/// Width of the rim of paper round letters.
const RIM: f32 = 1.8;
/// Control points of a quarter circle (4/3 tan 22.5°).
const QUARTER: f64 = 0.552_284_749_8;

/// Numbers of the file's parts; pages and what they hold follow.
struct Parts;

impl Parts {
    const CATALOG: Ref = Ref::new(1);
    const PAGES: Ref = Ref::new(2);
    const INFO: Ref = Ref::new(3);
    const PLAIN: Ref = Ref::new(4);
    const BOLD: Ref = Ref::new(5);

    fn tile(tile: Tile) -> Ref {
        Ref::new(6 + tile as i32)
    }

    fn page(index: usize) -> Ref {
        Ref::new(20 + 2 * index as i32)
    }

    fn content(index: usize) -> Ref {
        Ref::new(21 + 2 * index as i32)
    }
}

fn colour([r, g, b]: Colour) -> [f32; 3] {
    [r, g, b].map(|c| f32::from(c) / 255.0)
}

fn stroke_in(content: &mut Content, of: Colour) {
    let [r, g, b] = colour(of);
    content.set_stroke_rgb(r, g, b);
}

fn fill_in(content: &mut Content, of: Colour) {
    let [r, g, b] = colour(of);
    content.set_fill_rgb(r, g, b);
}

fn trace(content: &mut Content, path: &Path) {
    let mut at: At = [0.0, 0.0];
    for step in &path.0 {
        match *step {
            Step::Start(to) => {
                content.move_to(to[0] as f32, to[1] as f32);
                at = to;
            }
            Step::Line(to) => {
                content.line_to(to[0] as f32, to[1] as f32);
                at = to;
            }
            Step::Arc { to, radius, large, left } => {
                for [p, q, end] in Arc::between(at, to, radius, large, left).curves() {
                    let [a, b, c, d, e, f] = [p[0], p[1], q[0], q[1], end[0], end[1]].map(|v| v as f32);
                    content.cubic_to(a, b, c, d, e, f);
                }
                at = to;
            }
            Step::Close => {
                content.close_path();
            }
        }
    }
}

fn figure(content: &mut Content, look: Look, path: &Path) {
    match look.fill() {
        Fill::Nothing => {}
        Fill::Colour(of) => fill_in(content, of),
        Fill::Tiled(tile) => {
            content.set_fill_color_space(ColorSpaceOperand::Pattern);
            content.set_fill_pattern(None, Name(tile.name().as_bytes()));
        }
    }
    if let Some(pen) = look.pen() {
        stroke_in(content, look.colour());
        content.set_line_width(pen.width as f32);
        content.set_dash_pattern(pen.dashes.iter().map(|d| *d as f32), 0.0);
        content.set_line_cap(if look == Look::Dotted { LineCapStyle::RoundCap } else { LineCapStyle::ButtCap });
    }
    trace(content, path);
    match (look.fill(), look.pen()) {
        (Fill::Nothing, None) => content.end_path(),
        (Fill::Nothing, Some(_)) => content.stroke(),
        (_, None) => content.fill_even_odd(),
        (_, Some(_)) => content.fill_even_odd_and_stroke(),
    };
}

fn words(content: &mut Content, words: &Words) {
    let font = match words.weight {
        Weight::Plain => PLAIN,
        Weight::Bold => BOLD,
    };
    let wide = width(&words.words, words.size, words.weight);
    let x = match words.anchor {
        Anchor::Start => words.at[0],
        Anchor::Middle => words.at[0] - wide / 2.0,
        Anchor::End => words.at[0] - wide,
    };
    let bytes = encoded(&words.words);
    let mut show = |mode: TextRenderingMode| {
        content.begin_text();
        content.set_text_rendering_mode(mode);
        content.set_font(font, words.size as f32);
        content.next_line(x as f32, words.at[1] as f32);
        content.show(Str(&bytes));
        content.end_text();
    };
    if words.rim {
        show(TextRenderingMode::Stroke);
    }
    show(TextRenderingMode::Fill);
}

fn inks(content: &mut Content, marks: &[Ink]) {
    for ink in marks {
        match ink {
            Ink::Figure(look, path) => figure(content, *look, path),
            Ink::Words(line) => {
                fill_in(content, line.colour);
                if line.rim {
                    stroke_in(content, PAPER);
                    content.set_line_width(RIM);
                    content.set_dash_pattern([], 0.0);
                }
                words(content, line);
            }
            Ink::Within(low, high, inner) => {
                content.save_state();
                trace(content, &Path::rect(*low, *high));
                content.clip_nonzero();
                content.end_path();
                inks(content, inner);
                content.restore_state();
            }
        }
    }
}

fn tile_content(tile: Tile) -> Vec<u8> {
    let mut content = Content::new();
    stroke_in(&mut content, INK);
    fill_in(&mut content, INK);
    content.set_line_width(tile.weight() as f32);
    for [x, y, r] in tile.dots() {
        let k = r * QUARTER;
        let [x0, x1, x2, x3, x4] = [x - r, x - k, *x, x + k, x + r].map(|v| v as f32);
        let [y0, y1, y2, y3, y4] = [y - r, y - k, *y, y + k, y + r].map(|v| v as f32);
        content.move_to(x0, y2);
        content.cubic_to(x0, y3, x1, y4, x2, y4);
        content.cubic_to(x3, y4, x4, y3, x4, y2);
        content.cubic_to(x4, y1, x3, y0, x2, y0);
        content.cubic_to(x1, y0, x0, y1, x0, y2);
        content.fill_nonzero();
    }
    for line in tile.lines() {
        let [x, y, u, v] = line.map(|v| v as f32);
        content.move_to(x, y);
        content.line_to(u, v);
        content.stroke();
    }
    content.finish().into_vec()
}

fn write_tile(pdf: &mut Pdf, tile: Tile) {
    let (content, side) = (tile_content(tile), tile.side() as f32);
    let mut pattern = pdf.tiling_pattern(Parts::tile(tile), &content);
    pattern.paint_type(PaintType::Colored);
    pattern.tiling_type(TilingType::ConstantSpacing);
    pattern.bbox(Rect::new(0.0, 0.0, side, side));
    pattern.x_step(side);
    pattern.y_step(side);
    pattern.resources().finish();
}

fn write_page(pdf: &mut Pdf, index: usize, sheet: &Page) {
    let mut page = pdf.page(Parts::page(index));
    page.parent(Parts::PAGES);
    page.media_box(Rect::new(0.0, 0.0, sheet.width as f32, sheet.height as f32));
    page.contents(Parts::content(index));
    let mut resources = page.resources();
    resources.fonts().pair(PLAIN, Parts::PLAIN).pair(BOLD, Parts::BOLD);
    let mut patterns = resources.patterns();
    for tile in Tile::ALL {
        patterns.pair(Name(tile.name().as_bytes()), Parts::tile(tile));
    }
    patterns.finish();
    resources.finish();
    page.finish();
    let mut content = Content::new();
    content.set_line_join(LineJoinStyle::RoundJoin);
    inks(&mut content, &sheet.inks);
    pdf.stream(Parts::content(index), &content.finish());
}

impl Sheet {
    /// The whole sheet as a file.
    pub(crate) fn pdf(&self) -> Vec<u8> {
        let mut pdf = Pdf::new();
        pdf.catalog(Parts::CATALOG).pages(Parts::PAGES).lang(TextStr("en"));
        pdf.document_info(Parts::INFO).title(TextStr(&self.title));
        let count = self.pages.len();
        pdf.pages(Parts::PAGES).kids((0..count).map(Parts::page)).count(count as i32);
        for (part, face) in [(Parts::PLAIN, "Helvetica"), (Parts::BOLD, "Helvetica-Bold")] {
            pdf.type1_font(part).base_font(Name(face.as_bytes())).encoding_predefined(Name(b"WinAnsiEncoding"));
        }
        for tile in Tile::ALL {
            write_tile(&mut pdf, tile);
        }
        for (index, page) in self.pages.iter().enumerate() {
            write_page(&mut pdf, index, page);
        }
        pdf.finish()
    }
}
