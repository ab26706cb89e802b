//! What P waves say of conduction, as events: they take the place of a rhythm that they explain, and block must be read.

use super::calibration::{CONDUCTION_CERTAINTY, EXPLAINED_SHARE, FLUTTER_CERTAINTY, SURE_CONDUCTION};
use super::columns::Columns;
use super::event::event_over;
use crate::model::{Certainty, Conducted, Conduction, Event, EventKind, Span};

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

/// Appends the findings, and takes out what they explain: a rate is no rhythm of the sinus node where P waves are not conducted,
/// and intervals that are irregular for block or flutter are no fibrillation.
pub fn conduction(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    let found = columns.reading.found.map_or(&[][..], |f| &f.conduction);
    events.retain(|e| !is_explained(columns, e));
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
            event.certainty = certainty(conducted.finding);
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

fn certainty(finding: Conduction) -> Certainty {
    let look = "it is told from P waves in the tracing alone; look at it";
    match finding {
        Conduction::Flutter => Certainty::of(FLUTTER_CERTAINTY, || look.replace("P waves", "waves")),
        Conduction::FirstDegree | Conduction::BlockedEctopy => Certainty::of(SURE_CONDUCTION, String::new),
        _ => Certainty::of(CONDUCTION_CERTAINTY, || look.to_owned()),
    }
}

/// True where findings cover what they explain of this kind of event, and no reader has said that they are none.
pub fn is_explained(columns: &Columns<'_>, event: &Event) -> bool {
    let found = columns.reading.found.map_or(&[][..], |f| &f.conduction);
    use Conduction::{Advanced, Complete, ExitBlock, Flutter, MobitzOne, MobitzTwo, NotTold, TwoToOne};
    let by: &[Conduction] = match event.kind {
        EventKind::Bradycardia => &[Complete, Advanced, TwoToOne, MobitzOne, MobitzTwo, NotTold, Flutter],
        EventKind::AtrialFibrillation | EventKind::IrregularShort => &[MobitzOne, TwoToOne, Flutter],
        EventKind::Tachycardia | EventKind::RegularTachycardia => &[Flutter],
        EventKind::DroppedBeatCandidate => {
            &[Advanced, MobitzOne, MobitzTwo, NotTold, ExitBlock, Conduction::BlockedEctopy, TwoToOne]
        }
        _ => return false,
    };
    let spans = Span::merged(found.iter().filter(|c| by.contains(&c.finding)).map(|c| c.span).collect(), 0);
    let answered = Span::merged([&columns.reading.no_block[..], &columns.reading.no_flutter].concat(), 0);
    let spans = Span::without(&spans, &answered);
    event.span.covered_by(&spans) as f64 >= EXPLAINED_SHARE * event.span.len() as f64
}
