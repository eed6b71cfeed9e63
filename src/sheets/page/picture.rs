//! The first page of a document as an SVG picture, as it is set on paper.

use super::html::escape;
use super::setting::{Mark, set};
use super::{Page, Paper};

pub(super) fn picture(page: &Page, paper: Paper) -> Result<String, String> {
    let [wide, high] = paper.size();
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide:.0} {high:.0}\" font-family=\"DejaVu Sans Condensed,Arial,sans-serif\">\n\
         <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n"
    );
    for mark in set(page, paper)?.first().into_iter().flatten() {
        out += &match mark {
            Mark::Words { at: [x, y], text, size, bold } => {
                let weight = if *bold { " font-weight=\"bold\"" } else { "" };
                format!("<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size:.1}\"{weight}>{}</text>\n", escape(text))
            }
            Mark::Line { points, width, dashed } => {
                let all: Vec<String> = points.iter().map(|p| format!("{:.1},{:.1}", p[0], p[1])).collect();
                let dash = if *dashed { " stroke-dasharray=\"4 2.5\"" } else { "" };
                format!(
                    "<polyline points=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{width:.1}\"{dash}/>\n",
                    all.join(" ")
                )
            }
            Mark::Dot { at: [x, y], radius, filled } => {
                let fill = if *filled { "#000" } else { "none" };
                format!(
                    "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\".7\"/>\n"
                )
            }
            Mark::Box { at: [x, y], side } => {
                format!(
                    "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{side:.1}\" height=\"{side:.1}\" fill=\"none\" stroke=\"#000\" stroke-width=\".7\"/>\n"
                )
            }
        };
    }
    Ok(out + "</svg>\n")
}
