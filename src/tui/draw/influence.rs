//! How the tension of the chosen run changes as one walker walks along.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;

use super::plot::{Ink, Plot, Window};
use crate::app::{App, short};
use crate::document::plain;
use crate::plan::Role as RunRole;
use crate::tui::theme::{Role, Theme};

/// The run whose curve is drawn: the chosen one, else the main line.
fn run(app: &App) -> Option<&str> {
    let main = || app.file.plan.runs.iter().find(|(_, r)| r.role == RunRole::Main).map(|(n, _)| n.as_str());
    app.selected.run().or_else(main)
}

fn curve(app: &App) -> Option<Vec<DVec2>> {
    let review = app.review.as_ref()?;
    let i = review.run_names.iter().position(|n| Some(n.as_str()) == run(app))?;
    Some(review.influence.iter().map(|(at, t)| DVec2::new(*at, t[i])).collect())
}

/// Title and head of its pane.
pub(super) fn head(app: &App) -> (String, String) {
    let name = plain(run(app).unwrap_or("line"));
    let stale = if app.fresh() { "" } else { "~" };
    let system = app.settings.system;
    let most = curve(app).and_then(|c| c.into_iter().max_by(|a, b| a.y.total_cmp(&b.y)));
    let said = match most {
        Some(p) if p.y > 0.0 => format!(
            "{stale}most {} {} at {}",
            short::force(p.y, system),
            short::force_unit(system),
            short::whole(p.x * app.line_m(), system)
        ),
        Some(_) => format!("{stale}slack wherever one walker is"),
        None => String::new(),
    };
    (name, said)
}

/// Draws the curve below its head.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let area = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
    let Some(curve) = curve(app).filter(|_| area.height >= 3 && area.width >= 16) else { return };
    let most = curve.iter().map(|p| p.y).fold(0.0, f64::max);
    if most <= 0.0 {
        return;
    }
    let system = app.settings.system;
    // A round top in the unit shown, so that the axis reads in round steps.
    let unit = if system == crate::units::System::Si { 1e3 } else { 4.448_221_6 };
    let rounds = [1.0, 2.0, 4.0, 5.0, 10.0, 20.0, 40.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 1e4, 2e4];
    let top = rounds.into_iter().map(|r| r * unit).find(|r| *r >= most).unwrap_or(most);
    let axis = 6_u16;
    let inner = Rect { x: area.x + axis, width: area.width - axis, ..area };
    let (columns, rows) = (f64::from(inner.width), f64::from(inner.height));
    let window = Window { left: 0.0, top, column: 1.0 / columns, row: top / (rows - 0.25) };
    let mut plot = Plot::new(inner, window, theme.glyphs);
    for y in [0.5 * top, top * 0.999] {
        plot.chain(&[DVec2::new(0.0, y), DVec2::new(1.0, y)], Ink::Standing);
    }
    plot.chain(&[DVec2::new(0.0, 0.0), DVec2::new(1.0, 0.0)], Ink::Hatch);
    plot.chain(&curve, Ink::Leg(1));
    let here = curve.iter().min_by(|a, b| (a.x - app.walker).abs().total_cmp(&(b.x - app.walker).abs()));
    if let Some(p) = here {
        plot.sign(DVec2::new(app.walker, p.y), '○', theme.role(Role::Strong));
    }
    plot.paint(frame.buffer_mut(), theme);
    let said = |n: f64| if n >= unit || n == 0.0 { format!("{:.0}", n / unit) } else { format!("{:.1}", n / unit) };
    let stale = if app.fresh() { "" } else { "~" };
    let marks = [
        (0, format!("{stale}{} {}", said(top), short::force_unit(system))),
        (inner.height / 2, said(0.5 * top)),
        (inner.height - 1, "0".to_owned()),
    ];
    for (row, text) in marks {
        let text = format!("{text:>5}");
        frame.buffer_mut().set_string(area.x, area.y + row, theme.text(&text), theme.quiet());
    }
}
