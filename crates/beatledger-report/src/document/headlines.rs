//! What stands out of a day, in sentences for the first page: what is missing of the file, pacing, and the findings that
//! somebody who reads that page alone must meet.

use std::collections::BTreeSet;

use beatledger_core::model::{Event, EventKind, EventState, FigureId, FigureValue};
use beatledger_core::session::Snapshot;

use super::tree::{Block, Style};
use crate::tables::symptoms::kinds;
use crate::values::{duration_text, figure_text, place_text};

/// Code of the warnings that say what is missing of a file.
const CUT: &str = "file-cut";
/// Paced beats are named from this share of all on, %.
const LEAST_PACED_PERCENT: f64 = 1.0;
/// Kinds of event that have their place on the first page, in order.
const KINDS: [EventKind; 15] = [
    EventKind::VentricularFibrillation,
    EventKind::VentricularTachycardia,
    EventKind::AvBlock3,
    EventKind::AvBlockAdvanced,
    EventKind::AvBlockMobitz2,
    EventKind::AvBlock2To1,
    EventKind::AvBlockMobitz1,
    EventKind::AvBlock1,
    EventKind::ExitBlock,
    EventKind::ConductionNotTold,
    EventKind::StChange,
    EventKind::AtrialFlutter,
    EventKind::RegularTachycardia,
    EventKind::Bradycardia,
    EventKind::PolarityChange,
];

/// What is named beside a symptom even where a reader added it.
const GRAVE: [EventKind; 5] = [
    EventKind::VentricularFibrillation,
    EventKind::VentricularTachycardia,
    EventKind::Pause,
    EventKind::AvBlock3,
    EventKind::AvBlockAdvanced,
];

/// Its blocks; none where nothing stands out.
pub(super) fn blocks(snapshot: &Snapshot) -> Vec<Block> {
    let mut lines = cut(snapshot);
    lines.extend(paced(snapshot));
    lines.extend(KINDS.into_iter().filter_map(|kind| of_kind(snapshot, kind)));
    lines.extend(qtc(snapshot));
    lines.extend(symptoms(snapshot));
    let points = lines.into_iter().map(|line| Block::Paragraph(Style::Point, line));
    let mut blocks: Vec<Block> = points.collect();
    if !blocks.is_empty() {
        blocks.insert(0, Block::Subheading("What stands out".to_owned()));
    }
    blocks
}

fn cut(snapshot: &Snapshot) -> Vec<String> {
    let all = snapshot.recording.warnings.iter().filter(|w| w.code == CUT).map(|w| w.text.clone());
    all.collect::<BTreeSet<_>>().into_iter().collect()
}

fn paced(snapshot: &Snapshot) -> Option<String> {
    let paced = snapshot.beats.iter().filter(|b| b.evidence.paced).count();
    let percent = 100.0 * paced as f64 / snapshot.beats.len().max(1) as f64;
    (percent >= LEAST_PACED_PERCENT).then(|| {
        format!(
            "Paced: {percent:.0} % of the beats follow a pacing spike. Their QT, ST, conduction and variability are not \
             assessed, nor is what the pacemaker should have done."
        )
    })
}

/// How many events of a kind stand, the first and the longest of them, and what is doubtful about them.
fn of_kind(snapshot: &Snapshot, kind: EventKind) -> Option<String> {
    let events: Vec<&Event> = snapshot.events.iter().filter(|e| e.kind == kind && e.stands()).collect();
    let first = events.first()?;
    let place = |event: &Event| place_text(&snapshot.recording, event.span.start);
    let lasts = |event: &Event| duration_text(snapshot.recording.rate.seconds_from_samples(event.span.len()));
    let longest = events.iter().max_by_key(|e| e.span.len())?;
    let mut line = match events.len() {
        1 => format!("{}: at {}, {}", kind.words(), place(first), lasts(first)),
        n => {
            format!(
                "{}: {n}, first at {}, longest {} at {}",
                kind.words(),
                place(first),
                lasts(longest),
                place(longest)
            )
        }
    };
    if !longest.note.is_empty() {
        line.push_str(&format!(" ({})", longest.note));
    }
    let doubtful = events.iter().filter(|e| e.doubt().is_some()).count();
    let unread = events.iter().filter(|e| e.state == EventState::Unread).count();
    match (doubtful, unread) {
        (0, 0) => {}
        (0, n) if n == events.len() => line.push_str("; not confirmed"),
        (0, n) => line.push_str(&format!("; {n} not confirmed")),
        (n, _) if n == events.len() => line.push_str("; doubtful"),
        (n, _) => line.push_str(&format!("; {n} doubtful")),
    }
    Some(line + ".")
}

fn qtc(snapshot: &Snapshot) -> Option<String> {
    let figure = snapshot.summary.figure(FigureId::QtcFridericiaMs)?;
    let is_told = matches!(figure.value, FigureValue::Number(_));
    is_told.then(|| format!("QTc (Fridericia): {}.", figure_text(figure, &snapshot.recording)))
}

/// Symptoms beside which something lies that must be read.
fn symptoms(snapshot: &Snapshot) -> Vec<String> {
    let is_grave = |i: &u32| {
        let event = snapshot.events.get(*i as usize);
        event.is_some_and(|e| e.stands() && (e.critical || GRAVE.contains(&e.kind)))
    };
    let rows = snapshot.summary.symptoms.rows.iter().filter(|row| row.is_symptom);
    let told = rows.filter_map(|row| {
        let grave = row.findings.iter().filter(|i| is_grave(i)).map(|i| &snapshot.events[*i as usize]);
        let words = kinds(grave, "");
        let entry = snapshot.diary.get(row.diary as usize)?;
        (!words.is_empty()).then(|| {
            let at = place_text(&snapshot.recording, row.entry.start);
            format!("'{}' at {at}: {words}.", entry.text.trim())
        })
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use beatledger_core::model::{Span, Warning};
    use beatledger_core::review::Edit;

    use super::*;
    use crate::made;

    fn lines(snapshot: &Snapshot) -> Vec<String> {
        let text = |block: Block| match block {
            Block::Paragraph(_, text) => Some(text),
            _ => None,
        };
        blocks(snapshot).into_iter().filter_map(text).collect()
    }

    #[test]
    fn fibrillation_beside_a_symptom_stands_on_the_first_page_with_the_symptom() {
        let span = Span::new(5_000, 9_000);
        let snapshot = made::snapshot(&[Edit::AddEvent { kind: EventKind::VentricularFibrillation, span }]);
        let told = lines(&snapshot);
        let of = |words: &str| told.iter().any(|line| line.contains(words));
        assert!(of("VF/VFL candidate: at 23:58:50, 16.0 s."), "{told:?}");
        assert!(of("'skipped a beat' at 23:59:02: VF/VFL candidate"), "{told:?}");
    }

    #[test]
    fn what_is_missing_of_a_file_and_pacing_come_first() {
        let mut snapshot = made::snapshot(&[]);
        let mut recording = (*snapshot.recording).clone();
        recording.warnings.push(Warning::new(CUT, "", "The file is cut: 3 min of 6 h are there."));
        snapshot.recording = recording.into();
        let mut beats = (*snapshot.beats).clone();
        beats.iter_mut().take(100).for_each(|b| b.evidence.paced = true);
        snapshot.beats = beats.into();
        let told = lines(&snapshot);
        assert!(told[0].starts_with("The file is cut"), "{told:?}");
        assert!(told[1].starts_with("Paced: 47 % of the beats"), "{told:?}");
    }
}
