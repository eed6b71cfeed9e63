//! Lessons: in the workbench, or told as text.

use std::io::IsTerminal as _;
use std::path::Path;
use std::process::ExitCode;

use color_eyre::eyre::Result;

use super::{DEMO, DEMO_NAME, complain, print};
use crate::app::lesson::{Lesson, lessons};
use crate::app::{App, Key, KeyFile, Palette, Press, Settings};
use crate::plan::PlanFile;
use crate::sheets;

/// Plays a lesson: in the workbench, or as text.
pub(super) fn lesson(
    name: Option<&str>,
    keys: Option<&Path>,
    settings: Settings,
    palette: Option<Palette>,
) -> Result<ExitCode> {
    let Some(name) = name else {
        let list = lessons().into_iter().map(|(name, title)| format!("{name:<18} {title}\n"));
        return print(&format!("{}\n\n{}", sheets::CAUTION, list.collect::<String>()));
    };
    let lesson = match Lesson::named(name) {
        Ok(lesson) => lesson,
        Err(why) => {
            complain(&format!("error: {why}\n"));
            return Ok(ExitCode::from(2));
        }
    };
    if std::io::stdout().is_terminal() {
        return crate::tui::run(None, (DEMO_NAME, DEMO), Some(lesson), KeyFile::open(keys), settings, palette);
    }
    match told(lesson, settings) {
        Ok(text) => print(&text),
        Err(why) => {
            complain(&why);
            Ok(ExitCode::from(2))
        }
    }
}

/// A lesson's steps, each as it is said once its plan is reviewed.
fn told(lesson: Lesson, settings: Settings) -> Result<String, String> {
    let mut out = format!("{}\n\n{}\n", sheets::CAUTION, lesson.title);
    let steps = lesson.steps.len();
    let demo = PlanFile::parse(DEMO_NAME, DEMO.to_owned()).map_err(|e| e.show(DEMO_NAME))?;
    let mut app = App::new(demo, None, settings);
    app.play_lesson(lesson)?;
    for n in 1..=steps {
        app.take_effects();
        if !app.fresh() {
            app.job().run(|done| app.reviewed(done));
        }
        let (text, unmet) = app.lesson_said().unwrap_or_default();
        out += &format!("\n{n}. {text}\n");
        if let Some((choices, right)) = app.lesson.as_ref().and_then(|p| p.step().asks.as_ref()) {
            out += &format!("   {}; it is: {}\n", choices.join(" / "), choices[*right]);
        }
        for why in unmet {
            out += &format!("   ! {why}\n");
        }
        app.press(Press { key: Key::Enter, ctrl: false, shift: false });
    }
    Ok(out)
}
