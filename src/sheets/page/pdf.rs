//! A document as PDF: vector drawing, embedded font, black on white.

use std::sync::Arc;

use krilla::geom::{PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};
use krilla::{Document, color::luma};

use super::faces::FACES;
use super::setting::{Mark, set};
use super::{Page, Paper};

/// Why a page of paper could not be set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl PdfError {
    pub(super) fn of(why: String) -> Self {
        Self(why)
    }
}

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the page could not be set: {}", self.0)
    }
}

impl std::error::Error for PdfError {}

pub(super) fn pdf(page: &Page, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let pages = set(page, paper).map_err(PdfError)?;
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(page.title.clone()).creator("spanwright".to_owned()));
    let font = |k: usize| {
        Font::new(Arc::new(FACES[k].to_vec()).into(), 0).ok_or_else(|| PdfError("its font cannot be read".to_owned()))
    };
    let fonts = [font(0)?, font(1)?];
    let [width, height] = paper.size();
    let settings = PageSettings::from_wh(width as f32, height as f32)
        .ok_or_else(|| PdfError("the paper has no size".to_owned()))?;
    for marks in &pages {
        let mut out = document.start_page_with(settings.clone());
        let mut surface = out.surface();
        for m in marks {
            put(&mut surface, m, &fonts);
        }
        surface.finish();
        out.finish();
    }
    document.finish().map_err(|e| PdfError(format!("{e:?}")))
}

fn put(surface: &mut Surface<'_>, mark: &Mark, fonts: &[Font; 2]) {
    let black = || Fill {
        paint: luma::Color::new(0).into(),
        opacity: NormalizedF32::ONE,
        rule: krilla::paint::FillRule::NonZero,
    };
    let pen = |width: f64, dashed: bool| Pen {
        paint: luma::Color::new(0).into(),
        width: width as f32,
        line_cap: LineCap::Butt,
        dash: dashed.then(|| StrokeDash { array: vec![4.0, 2.5], offset: 0.0 }),
        ..Pen::default()
    };
    let path = |points: &[[f64; 2]], closed: bool| {
        let mut b = PathBuilder::new();
        for (k, p) in points.iter().enumerate() {
            if k == 0 { b.move_to(p[0] as f32, p[1] as f32) } else { b.line_to(p[0] as f32, p[1] as f32) }
        }
        if closed {
            b.close();
        }
        b.finish()
    };
    match mark {
        Mark::Words { at, text, size, bold } => {
            surface.set_stroke(None);
            surface.set_fill(Some(black()));
            let font = fonts[usize::from(*bold)].clone();
            let at = Point::from_xy(at[0] as f32, at[1] as f32);
            surface.draw_text(at, font, *size as f32, text, false, TextDirection::LeftToRight);
        }
        Mark::Line { points, width, dashed } => {
            surface.set_fill(None);
            surface.set_stroke(Some(pen(*width, *dashed)));
            if let Some(p) = path(points, false) {
                surface.draw_path(&p);
            }
        }
        Mark::Dot { at, radius, filled } => {
            let round: Vec<[f64; 2]> = (0..24)
                .map(|k| std::f64::consts::TAU * f64::from(k) / 24.0)
                .map(|a| [at[0] + radius * a.cos(), at[1] + radius * a.sin()])
                .collect();
            surface.set_fill(filled.then(black));
            surface.set_stroke(Some(pen(0.7, false)));
            if let Some(p) = path(&round, true) {
                surface.draw_path(&p);
            }
        }
        Mark::Box { at, side } => {
            let [x, y] = *at;
            surface.set_fill(None);
            surface.set_stroke(Some(pen(0.7, false)));
            if let Some(p) = path(&[[x, y], [x + side, y], [x + side, y + side], [x, y + side]], true) {
                surface.draw_path(&p);
            }
        }
    }
}
