//! Every command run alone on a prepared desk: what it changes, and that it changes nothing else.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{BeatClass, EventKind, Recording, Span};
use beatledger_core::review::Edit;

use super::by_hand::*;
use super::standing::{parts, state};
use super::*;
use crate::app::act::Act;
use crate::commands::table::Command;
use crate::commands::table::Command as C;
use crate::outside::canned::CannedDialogs;
use crate::outside::services::{OpenedLedger, Store};

/// No file can be opened; the demo day is three beats long.
struct Bare;

impl Store for Bare {
    fn open(&self, path: &Path) -> Result<Recording, String> {
        Err(format!("Not opened: {}.", path.display()))
    }

    fn demo(&self) -> Result<Recording, String> {
        Ok(Recording { name: "demo".into(), ..day("NNN", &[800]).recording })
    }

    fn ledger(&self, _path: &Path, _recording: &Recording) -> Result<OpenedLedger, String> {
        Err("There is no ledger.".into())
    }
}

/// The mixed day with its first beat at the place and nothing selected.
fn desk() -> Bench {
    let dialogs = Box::new(CannedDialogs::new(Some("gone.edf".into())));
    let mut bench =
        mixed_day().with_services(Services { dialogs, store: Arc::new(Bare), ..canned::still_services() });
    bench.act(Act::Run(C::ThemeLight));
    bench
}

/// What stands otherwise after a command, as `name: value`, of all that is on the screen before and after it.
fn changes(bench: &mut Bench, command: Command) -> Vec<String> {
    let before = state(bench);
    bench.act(Act::Run(command)).settle();
    let after = state(bench);
    let differs = before.into_iter().zip(after).filter(|(b, a)| b != a && b.1.is_some() && a.1.is_some());
    differs.map(|(_, (name, value))| format!("{name}: {}", value.unwrap_or_default())).collect()
}

const RUN: EventKind = EventKind::VentricularTachycardia;

/// Chooses the run of four V.
fn choose_run(bench: &mut Bench) {
    let day = bench.desk().snapshot().unwrap();
    bench.act(Act::Event(day.events.iter().position(|e| e.kind == RUN).unwrap()));
}

/// Brings the desk to where `command` has something to do.
fn prepare(bench: &mut Bench, command: Command) {
    let label = |sample, class| Edit::Relabel { beats: vec![sample], class };
    match command {
        C::PreviousItem => {
            bench.key(Key::O).key(Key::O);
        }
        C::PreviousEvent => {
            bench.act(Act::GoTo(9000));
        }
        C::PreviousBeat => {
            bench.act(Act::GoTo(2600));
        }
        C::PageEarlier => {
            bench.act(Act::GoTo(14_000));
        }
        C::LabelN => {
            bench.select(&[3200, 5600]);
        }
        // Neither one comes beside another ectopic beat: no event is made, so that nothing is asked.
        C::LabelS | C::LabelV | C::LabelF | C::LabelQ | C::ClearSelection => {
            bench.select(&[1800, 7400]);
        }
        C::Agree => {
            bench.select(&[3200, 8700]);
        }
        C::RemoveBeats => {
            bench.select(&[1800, 5600]);
        }
        C::MarkUnreadable | C::MarkRead | C::AddEvent => {
            bench.select_span(2000, 4000);
        }
        C::MarkReadable => {
            bench.edit(Edit::MarkNoise { span: Span::new(2000, 4000) }).select_span(2000, 3000);
        }
        C::KeepEvent | C::DropEvent | C::ChangeEvent => choose_run(bench),
        // A beat of the group of V that a reader calls N: its group and its class are not the same beats.
        C::SelectGroup | C::SelectClass => {
            bench.edit(label(3200, BeatClass::N)).select(&[3200]);
        }
        C::Undo => {
            bench.edit(label(1800, BeatClass::V)).edit(label(2600, BeatClass::S));
        }
        C::Redo => {
            bench.edit(label(1800, BeatClass::V)).edit(label(2600, BeatClass::S)).ctrl(Key::Z).ctrl(Key::Z);
        }
        C::StageStrip | C::NextStage => {
            bench.key(Key::Num4).key(Key::Num2);
        }
        C::NextLensLeads => {
            for _ in 0..9 {
                bench.keys(Modifiers::SHIFT, Key::B);
            }
        }
        C::ThemeLight | C::ThemeSystem => {
            bench.act(Act::Run(C::ThemeDark));
        }
        _ => {}
    }
}

/// What each command changes on the desk that [`prepare`] made for it, worked out by hand.
fn effect(command: Command) -> &'static [&'static str] {
    // What choosing the run of V selects.
    const A: &str = "beats: 8700 9200 9700 10200";
    const B: &str = "span: 8700..10201";
    const D: &str = "event: ventricular-tachycardia 8700..10201";
    match command {
        C::NextItem => &["place: 8700", A, B, D, "item: Some(0)"],
        C::PreviousItem => &["place: 8700", A, B, D, "item: Some(0)"],
        // The longest interval of the day, 1000 ms.
        C::NextEvent => &[
            "place: 3200",
            "beats: 3200 4200",
            "span: 3200..4201",
            "event: longest-rr 3200..4201",
            "side: Events",
        ],
        C::PreviousEvent => &["place: 8700", A, B, D, "side: Events"],
        C::NextBeat => &["place: 1800", "beats: 1800"],
        C::PreviousBeat => &["place: 1800", "beats: 1800"],
        C::PageLater => &["place: 14499"],
        C::PageEarlier => &["place: 0"],
        C::Find => &["sheet: Some(Find)", "keyboard: Find"],
        C::LabelN => {
            &["letters: NNNNNNNNNNVVVVNNNN", "changed: 3200 5600", "entries: 1", "notice: 2 beats labelled N"]
        }
        C::LabelS => {
            &["letters: NSNVNNSNSNVVVVNNNN", "changed: 1800 7400", "entries: 1", "notice: 2 beats labelled S"]
        }
        C::LabelV => {
            &["letters: NVNVNNSNVNVVVVNNNN", "changed: 1800 7400", "entries: 1", "notice: 2 beats labelled V"]
        }
        C::LabelF => {
            &["letters: NFNVNNSNFNVVVVNNNN", "changed: 1800 7400", "entries: 1", "notice: 2 beats labelled F"]
        }
        C::LabelQ => {
            &["letters: NQNVNNSNQNVVVVNNNN", "changed: 1800 7400", "entries: 1", "notice: 2 beats labelled Q"]
        }
        C::Agree => &["changed: 3200 8700", "entries: 1", "notice: 2 beats labelled V"],
        C::InsertBeat => &[
            "placing: true",
            "notice: Insert a beat at 21:30:01: press its class N, S, V, F or Q; Esc leaves it.",
        ],
        C::RemoveBeats => &["letters: NNVNNNNNVVVVNNNN", "entries: 1", "beats: ", "notice: 2 beats removed"],
        C::MarkUnreadable => &[
            "letters: NNNNSNNNVVVVNNNN",
            "unreadable: 2000..4000",
            "entries: 1",
            "notice: Stretch marked unreadable",
        ],
        C::MarkReadable => &[
            "letters: NNNNNSNNNVVVVNNNN",
            "unreadable: 3000..4000",
            "entries: 2",
            "notice: Stretch marked readable",
        ],
        C::MarkRead => &["read: 2000..4000", "entries: 1", "notice: Stretch marked as read"],
        C::KeepEvent => &[
            "said: ventricular-tachycardia 8700..10201 Kept",
            "entries: 1",
            "notice: Ventricular tachycardia kept",
        ],
        C::DropEvent => &[
            "said: ventricular-tachycardia 8700..10201 Dropped",
            "entries: 1",
            "notice: Ventricular tachycardia dropped",
        ],
        C::ChangeEvent => &["sheet: Some(ChangeEvent)"],
        C::AddEvent => &["sheet: Some(AddEvent)"],
        C::SelectGroup => &["beats: 3200 8700 9200 9700 10200"],
        C::SelectClass => &["beats: 1000 1800 2600 3200 4200 5000 6600 7400 8200 11100 11900 12700 13500"],
        C::ClearSelection => &["beats: "],
        C::Undo => &[
            "letters: NVNVNNSNNNVVVVNNNN",
            "changed: 1800",
            "entries: 3",
            "notice: Taken back: 1 beat labelled S",
        ],
        C::Redo => &[
            "letters: NVNVNNSNNNVVVVNNNN",
            "changed: 1800",
            "entries: 5",
            "notice: Made again: 1 beat labelled V",
        ],
        C::StageStrip => &["stage: Day strip"],
        C::StageGrid => &["stage: Morphology grid"],
        C::StageScatter => &["stage: RR scatter"],
        C::StageFigures => &["stage: Figures"],
        C::ShowHours => &["stage: Figures", "figures: Hours false"],
        C::ShowHistogram => &["stage: Figures", "figures: Histogram false"],
        C::ShowTables => &["stage: Figures", "figures: Tables false"],
        C::NextStage => &["stage: RR scatter"],
        C::NextPart => &["keyboard: Day strip", "notice: The keyboard is in the day strip; F6 moves on."],
        C::LensCloser => &["lens zoom: x2", "notice: Lens at x2"],
        C::LensWider => &["lens zoom: x0.5", "notice: Lens at x0.5"],
        C::LensTaller => &["lens height: 600", "notice: The lens takes 60 % of the height."],
        C::LensLower => &["lens height: 500", "notice: The lens takes 50 % of the height."],
        C::NextLensLeads => {
            &["lens begins with: II", "notice: The lens starts with the next lead, where not all fit."]
        }
        C::WaveLimits => &["wave limits: true", "notice: P, QRS and T limits of every beat are shown."],
        C::Calipers => &[
            "calipers: Some(True)",
            "notice: Calipers: drag over the lens to measure ms, bpm and mV; Esc puts them away.",
        ],
        C::LongerRows => &["rows: rows of 2 min", "notice: Rows of 2 min 00 s"],
        C::ShorterRows => &["rows: rows of 30 s", "notice: Rows of 30.0 s"],
        C::TallerTracing => &["notice: Tracing in the rows at 2 times its usual height"],
        C::LowerTracing => &["notice: Tracing in the rows at 0.5 times its usual height"],
        C::NextLead => &[
            "rows lead: II",
            "notice: The day strip shows II; the lens starts with it where not all leads fit.",
        ],
        C::InvertLead => &["sheet: Some(Leads)"],
        C::Intake => &["sheet: Some(Intake)"],
        C::History => &["sheet: Some(History)"],
        C::Conclusion => &[
            "sheet: Some(Conclusion)",
            "keyboard: What does this day show? The text stands on the first page of the report.",
        ],
        C::Sign => &["sheet: Some(Sign)"],
        C::Open => &["notice: Not opened: gone.edf."],
        C::OpenPath => &["sheet: Some(Path)", "keyboard: Open"],
        // Three seconds of a flat line: no beat, nothing readable.
        C::Demo => {
            &["recording: demo", "letters: ", "unreadable: 0..3600", "place: 0", "card: Some(DayBand)"]
        }
        C::Settings => &["sheet: Some(Settings)"],
        C::ThemeLight => &["theme: Light"],
        C::ThemeDark => &["theme: Dark"],
        C::ThemeSystem => &["theme: System"],
        C::NextTheme => &["theme: Dark"],
        C::TextLarger => &["text: 110 %", "notice: Text at 110 %"],
        C::TextSmaller => &["text: 91 %", "notice: Text at 91 %"],
        C::Palette => &["sheet: Some(Palette)", "keyboard: What should be done?"],
        C::Keys => &["sheet: Some(Keys)"],
        C::Cards => &["card: Some(DayBand)"],
    }
}

#[test]
fn every_command_does_what_its_name_says_and_nothing_else() {
    let mut wrong = Vec::new();
    for command in Command::ALL {
        let mut bench = desk();
        prepare(&mut bench, *command);
        let changes = changes(&mut bench, *command);
        if changes != effect(*command) {
            wrong.push(format!("{command:?} gives {changes:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_tracing_in_the_rows_is_drawn_twice_and_half_as_tall() {
    let mut bench = desk();
    let height = |bench: &Bench| -> f64 {
        let words = parts(bench, "Day strip, ").unwrap();
        let points = words.iter().find_map(|w| w.strip_prefix("1 mV = ")?.strip_suffix(" points")).unwrap();
        points.parse().unwrap()
    };
    let usual = height(&bench);
    for (command, times) in
        [(C::TallerTracing, 2.0), (C::TallerTracing, 4.0), (C::LowerTracing, 2.0), (C::LowerTracing, 1.0)]
    {
        bench.act(Act::Run(command));
        // Heights are printed in whole points.
        assert!((height(&bench) - times * usual).abs() <= 0.5 * (times + 1.0), "{command:?}");
    }
    bench.act(Act::Run(C::LowerTracing));
    assert!((height(&bench) - 0.5 * usual).abs() <= 0.75);
}
