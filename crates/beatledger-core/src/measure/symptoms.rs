//! Diary entries laid beside what happened around them.

use super::{Day, burden};
use crate::model::{DiaryEntry, DiaryKind, EventKind, Span, SymptomRow, Symptoms};

/// Kinds of event that are a finding when they lie beside a symptom: every kind but the extremes of the day, which
/// always exist, and unreadable time.
const FINDINGS: [EventKind; 20] = [
    EventKind::VentricularFibrillation,
    EventKind::VentricularTachycardia,
    EventKind::IdioventricularRun,
    EventKind::VentricularCouplet,
    EventKind::VentricularBigeminy,
    EventKind::VentricularTrigeminy,
    EventKind::SupraventricularRun,
    EventKind::SupraventricularCouplet,
    EventKind::SupraventricularBigeminy,
    EventKind::SupraventricularTrigeminy,
    EventKind::AtrialFibrillation,
    EventKind::AtrialFlutter,
    EventKind::Pause,
    EventKind::ContactUncertain,
    EventKind::AvBlock2To1,
    EventKind::DroppedBeatCandidate,
    EventKind::IrregularShort,
    EventKind::Bradycardia,
    EventKind::Tachycardia,
    EventKind::RegularTachycardia,
];
/// Where less of a window could be read than this and nothing was found, nothing can be said (design rule), %.
const LEAST_READABLE_PERCENT: f64 = 50.0;

/// Lays the entries of `diary` beside the findings; symptoms and presses of the button are told apart by what was found.
pub fn symptoms(day: &Day<'_>, diary: &[DiaryEntry]) -> Symptoms {
    let findings = day.events_of(&FINDINGS);
    let entries = diary.iter().enumerate();
    let rows: Vec<SymptomRow> = entries.map(|(i, e)| row(day, i as u32, e, &findings)).collect();
    let mut out = Symptoms::default();
    for (i, row) in rows.iter().enumerate().filter(|(_, row)| row.is_symptom) {
        let list = if !row.findings.is_empty() {
            &mut out.with_finding
        } else if row.readable_percent >= LEAST_READABLE_PERCENT {
            &mut out.without_finding
        } else {
            &mut out.unreadable
        };
        list.push(i as u32);
    }
    let symptoms = || rows.iter().filter(|row| row.is_symptom);
    let beside = |i: &u32| symptoms().any(|row| row.window.touches(day.events[*i as usize].span));
    out.silent_findings = findings.iter().copied().filter(|i| !beside(i)).collect();
    out.rows = rows;
    out
}

fn row(day: &Day<'_>, diary: u32, entry: &DiaryEntry, findings: &[u32]) -> SymptomRow {
    let at = entry.span;
    let reading = day.reading();
    let whole = reading.recording.whole();
    let around = reading.recording.rate.samples_from_seconds(60.0 * reading.settings.symptom_min);
    let at = Span::new(at.start, at.end.max(at.start + 1));
    let window = at.widened(around, whole);
    let beats = reading.beats_in(window);
    let of_class =
        |letter| day.columns.classes[beats.clone()].iter().filter(|c| c.letter() == letter).count();
    let first = day.windows.partition_point(|w| w.first < beats.start);
    let rates =
        day.windows[first..].iter().take_while(|w| w.first < beats.end).filter(|w| w.last < beats.end);
    let (min, max) = rates.fold((f64::INFINITY, 0.0f64), |m, w| (m.0.min(w.bpm), m.1.max(w.bpm)));
    let readable = reading.readable_samples(window);
    SymptomRow {
        diary,
        is_symptom: matches!(entry.kind, DiaryKind::Symptom | DiaryKind::Button),
        entry: at.overlap(whole),
        window,
        readable_percent: 100.0 * readable as f64 / window.len().max(1) as f64,
        rhythm: rhythm(day, window, readable),
        min_bpm: (max > 0.0).then_some(min),
        mean_bpm: day.columns.mean_bpm(beats.clone()),
        max_bpm: (max > 0.0).then_some(max),
        v_beats: of_class('V') as u64,
        s_beats: of_class('S') as u64,
        findings: findings.iter().copied().filter(|i| day.events[*i as usize].span.touches(window)).collect(),
    }
}

/// The rhythm of a window in words, with shares of its readable time where there are two.
fn rhythm(day: &Day<'_>, window: Span, readable: i64) -> String {
    if readable <= 0 {
        return "not readable".to_owned();
    }
    let in_af = burden::fibrillation_samples(day, window);
    let af_percent = (100.0 * in_af as f64 / readable as f64).round();
    let told = |kind| day.events_of(&[kind]).iter().any(|i| day.events[*i as usize].span.touches(window));
    let words = match (told(EventKind::AtrialFibrillation), told(EventKind::AtrialFlutter)) {
        (true, true) => "atrial fibrillation or flutter",
        (false, true) => "atrial flutter",
        _ => "atrial fibrillation",
    };
    match af_percent as i64 {
        0 => "sinus rhythm".to_owned(),
        100.. => words.to_owned(),
        af @ 50.. => format!("{words} {af} %, sinus rhythm {} %", 100 - af),
        af => format!("sinus rhythm {} %, {words} {af} %", 100 - af),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{self, testing::made};

    fn entry(at_s: i64, kind: DiaryKind) -> DiaryEntry {
        DiaryEntry { span: Span::new(at_s * 1000, at_s * 1000), kind, text: String::new() }
    }

    /// An hour at 75 bpm with a pause of 3.4 s at 10 min, a couplet at 40 min and no signal from 50 min on.
    #[test]
    fn symptoms_are_laid_beside_what_happened_around_them() {
        let mut letters = vec![b'N'; 4500];
        letters[3000] = b'V';
        letters[3001] = b'V';
        letters[100] = b'S';
        let mut rr = vec![800; 4499];
        rr[750] = 3400;
        let day = made(&String::from_utf8(letters).unwrap(), &rr).with_hole(3_000_000, 3_600_000);
        let reading = day.reading();
        let events = rhythm::events(&reading);
        let diary = [
            entry(100, DiaryKind::Button),
            entry(660, DiaryKind::Symptom),
            entry(800, DiaryKind::Activity),
            entry(1800, DiaryKind::Symptom),
            entry(3300, DiaryKind::Symptom),
            entry(-50_000, DiaryKind::Symptom),
        ];
        let found = symptoms(&Day::new(&reading, &events), &diary);
        assert_eq!(found.rows.len(), diary.len());
        assert_eq!(found.with_finding, [1]);
        assert_eq!(found.without_finding, [0, 3]);
        assert_eq!(found.unreadable, [4, 5]);
        let walk = &found.rows[2];
        assert_eq!(
            (walk.is_symptom, walk.mean_bpm, walk.rhythm.as_str()),
            (false, Some(75.0), "sinus rhythm")
        );
        assert!(walk.findings.is_empty() && walk.window == Span::new(680_000, 920_001));
        let kinds = |list: &[u32]| list.iter().map(|i| events[*i as usize].kind).collect::<Vec<_>>();
        assert_eq!(kinds(&found.rows[1].findings), [EventKind::Pause]);
        assert_eq!(kinds(&found.silent_findings), [EventKind::VentricularCouplet]);
        let row = &found.rows[0];
        assert_eq!((row.s_beats, row.v_beats, row.rhythm.as_str()), (1, 0, "sinus rhythm"));
        assert_eq!((row.mean_bpm, row.min_bpm, row.max_bpm), (Some(75.0), Some(75.0), Some(75.0)));
        assert_eq!(row.window, Span::new(0, 220_001));
        assert_eq!(found.rows[4].rhythm, "not readable");
    }
}
