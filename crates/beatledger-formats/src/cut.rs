//! A stretch of a recording as a recording of its own.

use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, Lead, LocalTime, Rate, Recording, SampleSource, Span};

/// Samples of another source from one place on.
#[derive(Debug)]
struct Window {
    held: Arc<dyn SampleSource>,
    from: usize,
    len: usize,
}

impl SampleSource for Window {
    fn len(&self) -> usize {
        self.len
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        self.held.read(self.from + start, out);
    }

    fn bytes(&self) -> usize {
        self.held.bytes()
    }
}

/// The wall clock of sample `by` of a recording that starts at `start`, to the nearest ms.
pub(crate) fn moved(start: LocalTime, rate: Rate, by: i64) -> LocalTime {
    LocalTime(start.0 + rate.ms_from_samples(by).round() as i64)
}

/// Entries that touch `span`, counted from its start and cut to it.
pub(crate) fn diary_in(diary: &[DiaryEntry], span: Span) -> Vec<DiaryEntry> {
    let inside = |e: &&DiaryEntry| {
        if e.span.is_empty() { span.contains(e.span.start) } else { e.span.touches(span) }
    };
    let cut = |e: &DiaryEntry| {
        let part = Span::new(e.span.start.max(span.start), e.span.end.min(span.end));
        DiaryEntry { span: Span::new(part.start - span.start, part.end - span.start), ..e.clone() }
    };
    diary.iter().filter(inside).map(cut).collect()
}

/// The part of `recording` inside `span`, with its own start; it begins and ends with data, not in a gap. Samples are shared, not copied. It is no longer the
/// file that was read, so it has no SHA-256.
pub fn cut(recording: &Recording, span: Span) -> Recording {
    let span = kept(recording, span.overlap(recording.whole()));
    let inside = recording.segments.iter().map(|s| s.overlap(span)).filter(|s| !s.is_empty());
    let lead = |lead: &Lead| {
        let held = lead.samples.len() as i64;
        let part = span.overlap(Span::new(0, held));
        let window =
            Window { held: Arc::clone(&lead.samples), from: part.start as usize, len: part.len() as usize };
        Lead { samples: Arc::new(window), ..lead.clone() }
    };
    Recording {
        sha256: String::new(),
        start: recording.start.map(|s| moved(s, recording.rate, span.start)),
        samples: span.len(),
        segments: inside.map(|s| Span::new(s.start - span.start, s.end - span.start)).collect(),
        leads: recording.leads.iter().map(lead).collect(),
        diary: diary_in(&recording.diary, span),
        ..recording.clone()
    }
}

/// The stretch that [`cut`] keeps of `span`: from the first to the last sample in it that there is.
pub fn kept(recording: &Recording, span: Span) -> Span {
    let inside = || recording.segments.iter().map(|s| s.overlap(span)).filter(|s| !s.is_empty());
    match (inside().next(), inside().next_back()) {
        (Some(first), Some(last)) => Span::new(first.start, last.end),
        _ => Span::new(span.start, span.start),
    }
}

#[cfg(test)]
mod tests {
    use beatledger_core::model::{DiaryKind, Identity, Unit};

    use super::*;

    #[test]
    fn a_stretch_has_its_own_start_and_begins_with_data() {
        let entry = |start, end| DiaryEntry {
            span: Span::new(start, end),
            kind: DiaryKind::Note,
            text: format!("{start}"),
        };
        let recording = Recording {
            name: "made".into(),
            format: String::new(),
            sha256: "x".into(),
            identity: Identity::default(),
            start: Some(LocalTime(1_000_000)),
            rate: Rate::whole_hz(100),
            samples: 1000,
            segments: vec![Span::new(0, 300), Span::new(500, 1000)],
            leads: vec![Lead {
                name: "II".into(),
                unit: Unit::Millivolt,
                adc_per_mv: 200.0,
                adc_zero: 0.0,
                missing: None,
                rails: None,
                prefilter: String::new(),
                samples: Arc::new((0..1000).collect::<Vec<i32>>()),
            }],
            others: vec![],
            diary: vec![entry(100, 100), entry(490, 520), entry(600, 600), entry(900, 900)],
            warnings: vec![],
        };
        let part = cut(&recording, Span::new(400, 800));
        assert_eq!((part.samples, part.segments.as_slice()), (300, [Span::new(0, 300)].as_slice()));
        assert_eq!((part.start, part.sha256.as_str()), (Some(LocalTime(1_005_000)), ""));
        let mut raw = vec![0; 3];
        part.leads[0].samples.read(297, &mut raw);
        assert_eq!((raw, part.leads[0].samples.len()), (vec![797, 798, 799], 300));
        let diary: Vec<_> = part.diary.iter().map(|e| (e.span, e.text.as_str())).collect();
        assert_eq!(diary, [(Span::new(0, 20), "490"), (Span::new(100, 100), "600")]);
        assert_eq!(kept(&recording, Span::new(400, 800)), Span::new(500, 800));
        assert_eq!(cut(&recording, Span::new(310, 490)).samples, 0);
    }
}
