//! Diary entries laid beside what happened around them.

use super::Day;
use crate::model::{BeatClass, DiaryEntry, DiaryKind, Event, EventKind, Span, SymptomRow, Symptoms};
use crate::rhythm::SINUS_P;

/// Rhythms that are told by name around a symptom, the most consequential first.
const RHYTHMS: [EventKind; 12] = [
    EventKind::VentricularFibrillation,
    EventKind::VentricularTachycardia,
    EventKind::AvBlock3,
    EventKind::AvBlockAdvanced,
    EventKind::AtrialFibrillation,
    EventKind::AtrialFlutter,
    EventKind::AvBlock2To1,
    EventKind::AvBlockMobitz2,
    EventKind::AvBlockMobitz1,
    EventKind::ConductionNotTold,
    EventKind::RegularTachycardia,
    EventKind::IdioventricularRun,
];
/// Where less of a window could be read than this and nothing was found, nothing can be said (design rule), %.
const LEAST_READABLE_PERCENT: f64 = 50.0;

/// Lays the entries of `diary` beside the findings; symptoms and presses of the button are told apart by what was found.
pub fn symptoms(day: &Day<'_>, diary: &[DiaryEntry]) -> Symptoms {
    // Every kind is a finding when it lies beside a symptom, but the extremes of the day, which always exist, unreadable time and
    // what happened to the electrodes.
    let is_finding = |i: &u32| {
        let event = &day.events[*i as usize];
        event.stands() && !event.kind.is_landmark() && !event.kind.is_of_leads()
    };
    let findings: Vec<u32> = (0..day.events.len() as u32).filter(is_finding).collect();
    let entries = diary.iter().enumerate();
    let rows: Vec<SymptomRow> = entries.map(|(i, e)| row(day, i as u32, e, &findings)).collect();
    let mut out = Symptoms::default();
    for (i, row) in rows.iter().enumerate().filter(|(_, row)| row.is_symptom) {
        let counts = |i: &u32| day.events[*i as usize].counts();
        let list = if row.findings.iter().any(counts) {
            &mut out.with_finding
        } else if !row.findings.is_empty() {
            // What may be a finding is neither one nor none before a reader has spoken.
            &mut out.unreadable
        } else if row.readable_percent >= LEAST_READABLE_PERCENT {
            &mut out.without_finding
        } else {
            &mut out.unreadable
        };
        list.push(i as u32);
    }
    let symptoms = || rows.iter().filter(|row| row.is_symptom);
    let beside = |i: &u32| symptoms().any(|row| row.window.touches(day.events[*i as usize].span));
    let counts = |i: &u32| day.events[*i as usize].counts();
    out.silent_findings = findings.iter().copied().filter(|i| counts(i) && !beside(i)).collect();
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

/// The rhythm of a window in words, most of the time first, with shares of its readable time where there are two. A sinus rhythm
/// is told where P waves show before its beats.
fn rhythm(day: &Day<'_>, window: Span, readable: i64) -> String {
    if readable <= 0 {
        return "not readable".to_owned();
    }
    let reading = day.reading();
    let mut left = vec![window];
    let mut told: Vec<(String, i64)> = Vec::new();
    for kind in RHYTHMS {
        let here = |e: &&Event| e.kind == kind && e.stands() && e.span.touches(window);
        let (sure, doubtful): (Vec<&Event>, Vec<&Event>) =
            day.events.iter().filter(here).partition(|e| e.doubt().is_none());
        for (events, word) in [(sure, ""), (doubtful, " (doubtful)")] {
            let spans = Span::merged(events.iter().map(|e| e.span).collect(), 0);
            let before: i64 = left.iter().map(|s| reading.readable_samples(*s)).sum();
            left = Span::without(&left, &spans);
            let after: i64 = left.iter().map(|s| reading.readable_samples(*s)).sum();
            if before > after {
                told.push((format!("{}{word}", kind.inside_a_sentence()), before - after));
            }
        }
    }
    let rest: i64 = left.iter().map(|s| reading.readable_samples(*s)).sum();
    if rest > 0 {
        told.push((rest_words(day, &left).to_owned(), rest));
    }
    told.sort_by_key(|(_, samples)| std::cmp::Reverse(*samples));
    let percent = |samples: i64| (100.0 * samples as f64 / readable as f64).round() as i64;
    told.retain(|(_, samples)| percent(*samples) > 0);
    match &told[..] {
        [(words, _)] => words.clone(),
        all => all.iter().map(|(w, s)| format!("{w} {} %", percent(*s))).collect::<Vec<_>>().join(", "),
    }
}

/// What the beats of stretches without a named rhythm are.
fn rest_words(day: &Day<'_>, stretches: &[Span]) -> &'static str {
    let (mut p, mut looked_at, mut paced, mut beats) = (0.0, 0u32, 0u32, 0u32);
    for i in stretches.iter().flat_map(|s| day.reading().beats_in(*s)) {
        beats += 1;
        paced += u32::from(day.columns.classes[i] == BeatClass::Q);
        if day.columns.classes[i] == BeatClass::N && day.columns.p_before[i].is_finite() {
            p += day.columns.p_before[i];
            looked_at += 1;
        }
    }
    if 2 * paced > beats {
        "paced or not classified"
    } else if looked_at > 0 && p >= SINUS_P * looked_at as f32 {
        "sinus rhythm"
    } else {
        "no other rhythm told"
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
            (false, Some(75.0), "no other rhythm told")
        );
        assert!(walk.findings.is_empty() && walk.window == Span::new(680_000, 920_001));
        let kinds = |list: &[u32]| list.iter().map(|i| events[*i as usize].kind).collect::<Vec<_>>();
        assert_eq!(kinds(&found.rows[1].findings), [EventKind::Pause]);
        assert_eq!(kinds(&found.silent_findings), [EventKind::VentricularCouplet]);
        let row = &found.rows[0];
        assert_eq!((row.s_beats, row.v_beats, row.rhythm.as_str()), (1, 0, "no other rhythm told"));
        assert_eq!((row.mean_bpm, row.min_bpm, row.max_bpm), (Some(75.0), Some(75.0), Some(75.0)));
        assert_eq!(row.window, Span::new(0, 220_001));
        assert_eq!(found.rows[4].rhythm, "not readable");
    }
}
