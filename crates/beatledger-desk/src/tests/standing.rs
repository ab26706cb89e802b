//! Everything on the desk that a command could change, in words.

use beatledger_core::model::{EventState, Origin, Span};

use egui::Shape;

use super::*;

/// Every text that the last frame printed.
pub(super) fn printed(bench: &Bench) -> Vec<String> {
    fn of(shape: &Shape, out: &mut Vec<String>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|s| of(s, out)),
            Shape::Text(text) => out.push(text.galley.text().to_owned()),
            _ => {}
        }
    }
    let mut out = Vec::new();
    bench.harness.output().shapes.iter().for_each(|s| of(&s.shape, &mut out));
    out
}

fn spans(spans: &[Span]) -> String {
    spans.iter().map(|s| format!("{}..{}", s.start, s.end)).collect::<Vec<_>>().join(" ")
}

fn samples(samples: impl IntoIterator<Item = i64>) -> String {
    samples.into_iter().map(|s| s.to_string()).collect::<Vec<_>>().join(" ")
}

/// The name under which a view is read out, cut into its parts.
pub(super) fn parts(bench: &Bench, view: &str) -> Option<Vec<String>> {
    let node = bench.harness.query_all_by_label_contains(view).next()?;
    let label = node.accesskit_node().label()?;
    Some(label.strip_prefix(view)?.split(" · ").map(str::to_owned).collect())
}

/// Everything that a command could change, each thing under its name; what is not on the screen is left out.
pub(super) fn state(bench: &Bench) -> Vec<(&'static str, Option<String>)> {
    let desk = bench.desk();
    let day = desk.snapshot().unwrap();
    let said = day.events.iter().filter(|e| e.state != EventState::Unread || e.origin == Origin::Reader);
    let said = said.map(|e| format!("{} {} {:?}", e.kind.key(), spans(&[e.span]), e.state));
    let strip = parts(bench, "Day strip, ");
    let lens = parts(bench, "Lens, ").unwrap();
    let focused = bench.harness.query_all(egui_kittest::kittest::by().recursive(true));
    let focused =
        focused.filter(|n| n.accesskit_node().is_focused()).find_map(|n| n.accesskit_node().label());
    let calipers = bench
        .harness
        .query_all_by_label("Calipers")
        .next()
        .map(|n| format!("{:?}", n.accesskit_node().toggled()));
    let edge = desk.shown.panels.splitter.lens_pt(crate::shell::stage::Stage::Strip, 1000.0, 1.0);
    vec![
        ("recording", Some(day.recording.name.clone())),
        ("letters", Some(bench.letters())),
        ("changed", Some(samples(day.beats.iter().filter(|b| b.is_changed()).map(|b| b.sample)))),
        ("unreadable", Some(spans(&day.unreadable))),
        ("read", Some(spans(&day.read))),
        ("said", Some(said.collect::<Vec<_>>().join(", "))),
        ("entries", Some(desk.open.day.as_ref().unwrap().entries.len().to_string())),
        ("place", Some(desk.place().to_string())),
        ("beats", Some(samples(bench.selected()))),
        ("span", Some(desk.selection().span.map_or_else(String::new, |s| spans(&[s])))),
        (
            "event",
            Some(
                desk.selection()
                    .event
                    .map_or_else(String::new, |(k, s)| format!("{} {}", k.key(), spans(&[s]))),
            ),
        ),
        ("stage", Some(desk.stage().words().to_owned())),
        ("figures", Some(format!("{:?} {}", desk.shown.panels.figures.show, desk.shown.panels.figures.all))),
        ("side", Some(format!("{:?}", desk.shown.panels.side))),
        ("sheet", Some(format!("{:?}", desk.sheet()))),
        ("item", Some(format!("{:?}", desk.pointed.item.map(|(_, at)| at)))),
        ("placing", Some(desk.waiting.for_class.to_string())),
        ("card", Some(format!("{:?}", desk.shown.card))),
        ("text", Some(format!("{:.0} %", desk.shown.text_scale * 100.0))),
        ("theme", Some(format!("{:?}", bench.harness.ctx.options(|o| o.theme_preference)))),
        ("lens begins with", lens[1].split(", ").next().map(str::to_owned)),
        ("lens zoom", lens.iter().find(|p| p.starts_with('x')).cloned()),
        ("lens height", Some(format!("{edge:.0}"))),
        ("rows", strip.as_ref().map(|p| p[1].clone())),
        ("rows lead", strip.as_ref().map(|p| p[0].clone())),
        ("calipers", calipers),
        // Limits of the beat at the place alone are one bracket named QRS.
        ("wave limits", Some((printed(bench).iter().filter(|t| *t == "QRS").count() > 1).to_string())),
        ("keyboard", Some(focused.unwrap_or_default().split(',').next().unwrap_or_default().to_owned())),
        ("notice", Some(desk.notice().words.clone())),
    ]
}
