//! What P waves say of conduction, as events: a rate is no rhythm of the sinus node where P waves are not conducted, and intervals
//! that are irregular for block or flutter are no fibrillation. Block must be read.

use super::calibration::{
    CONDUCTION_CERTAINTY, EXPLAINED_SHARE, FLUTTER_CERTAINTY, SURE_CONDUCTION, SURE_LONG_PR_MS,
};
use super::columns::Columns;
use super::event::event_over;
use crate::model::{Averaged, Certainty, Conducted, Conduction, Event, EventKind, Span};

/// The kind of event of a finding.
fn kind(finding: Conduction) -> EventKind {
    match finding {
        Conduction::Flutter => EventKind::AtrialFlutter,
        Conduction::Complete => EventKind::AvBlock3,
        Conduction::Advanced => EventKind::AvBlockAdvanced,
        Conduction::TwoToOne => EventKind::AvBlock2To1,
        Conduction::MobitzTwo => EventKind::AvBlockMobitz2,
        Conduction::MobitzOne => EventKind::AvBlockMobitz1,
        Conduction::NotTold => EventKind::ConductionNotTold,
        Conduction::BlockedEctopy => EventKind::BlockedAtrialEctopy,
        Conduction::ExitBlock => EventKind::ExitBlock,
        Conduction::FirstDegree => EventKind::AvBlock1,
    }
}

/// Stretches whose findings explain what other detectors make of the same beats, less those of which a reader said that they
/// are none; each list sorted and disjoint.
pub struct Explained {
    /// A slow rate is none of the sinus node there.
    slow: Vec<Span>,
    /// Intervals are irregular there for another reason than fibrillation.
    irregular: Vec<Span>,
    /// A fast rate is none of the sinus node there.
    fast: Vec<Span>,
    /// A long interval has a name there.
    long: Vec<Span>,
}

impl Explained {
    /// Lays them out once for all events.
    pub fn new(columns: &Columns<'_>) -> Self {
        use Conduction::{
            Advanced, BlockedEctopy, Complete, ExitBlock, Flutter, MobitzOne, MobitzTwo, NotTold, TwoToOne,
        };
        let found = columns.reading.found.map_or(&[][..], |f| &f.conduction);
        let answered = [&columns.reading.no_block[..], &columns.reading.no_flutter].concat();
        let answered = Span::merged(answered, 0);
        let by = |kinds: &[Conduction]| {
            let spans = found.iter().filter(|c| kinds.contains(&c.finding)).map(|c| c.span).collect();
            Span::without(&Span::merged(spans, 0), &answered)
        };
        Self {
            slow: by(&[Complete, Advanced, TwoToOne, MobitzOne, MobitzTwo, NotTold, Flutter]),
            irregular: by(&[MobitzOne, TwoToOne, Flutter]),
            fast: by(&[Flutter]),
            long: by(&[Advanced, MobitzOne, MobitzTwo, NotTold, ExitBlock, BlockedEctopy, TwoToOne]),
        }
    }

    /// True where they cover most of an event of a kind that they explain.
    pub fn covers(&self, event: &Event) -> bool {
        let spans = match event.kind {
            EventKind::Bradycardia => &self.slow,
            EventKind::AtrialFibrillation | EventKind::IrregularShort => &self.irregular,
            EventKind::Tachycardia | EventKind::RegularTachycardia => &self.fast,
            EventKind::DroppedBeatCandidate => &self.long,
            _ => return false,
        };
        event.span.covered_by(spans) as f64 >= EXPLAINED_SHARE * event.span.len() as f64
    }
}

/// Appends the findings.
pub fn conduction(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    let found = columns.reading.found.map_or(&[][..], |f| &f.conduction);
    for conducted in found {
        let beats = columns.reading.beats_in(conducted.span);
        // There are no P waves in fibrillation.
        let fibrillates = conducted.finding != Conduction::Flutter
            && 2 * beats.clone().filter(|i| in_af[*i]).count() > beats.len();
        if beats.len() >= 2 && !fibrillates {
            let mut event = event_over(columns, kind(conducted.finding), beats);
            event.critical =
                EventKind::BLOCKS.contains(&event.kind) || event.kind == EventKind::AtrialFlutter;
            event.note = note(conducted);
            event.certainty = certainty(columns, conducted);
            events.push(event);
        }
    }
}

fn note(conducted: &Conducted) -> String {
    let counted = |one: &str, many: &str| match conducted.count {
        0 => String::new(),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    match conducted.finding {
        Conduction::Flutter => "waves of one rate between the beats".to_owned(),
        Conduction::Complete => "P waves and QRS complexes keep their own rates".to_owned(),
        Conduction::FirstDegree => "PR of the averaged beat above 200 ms".to_owned(),
        Conduction::TwoToOne if conducted.count == 0 => "two P waves to a beat".to_owned(),
        Conduction::ExitBlock => counted("cycle without a P wave", "cycles without a P wave"),
        _ => counted("P wave not conducted", "P waves not conducted"),
    }
}

fn certainty(columns: &Columns<'_>, conducted: &Conducted) -> Certainty {
    let look = "it is told from P waves in the tracing alone; look at it";
    match conducted.finding {
        Conduction::Flutter => Certainty::of(FLUTTER_CERTAINTY, || look.replace("P waves", "waves")),
        Conduction::FirstDegree if shortest_pr_ms(columns, conducted.span) < SURE_LONG_PR_MS => {
            Certainty::of(CONDUCTION_CERTAINTY, || {
                "PR is above 200 ms by no more than it may be off".to_owned()
            })
        }
        Conduction::FirstDegree | Conduction::BlockedEctopy => Certainty::of(SURE_CONDUCTION, String::new),
        _ => Certainty::of(CONDUCTION_CERTAINTY, || look.to_owned()),
    }
}

/// The shortest PR of the averaged beats of a stretch, ms; 0 without any.
fn shortest_pr_ms(columns: &Columns<'_>, span: Span) -> f64 {
    let rate = columns.reading.recording.rate;
    let length = rate.samples_from_seconds(Averaged::WINDOW_S);
    let averaged = columns.reading.found.map_or(&[][..], |f| &f.averaged);
    let inside = averaged.iter().filter(|a| span.contains(i64::from(a.window) * length));
    let pr_ms = inside.filter_map(|a| a.waves.pr_samples()).map(|s| rate.ms_from_samples(s));
    pr_ms.min_by(f64::total_cmp).unwrap_or(0.0)
}
