//! Every edit in words, as the history shows it.

use super::*;
use crate::model::{DiaryEntry, DiaryKind};

#[test]
fn every_edit_says_what_it_does_and_how_many_beats_it_touches() {
    let at = span(100, 200);
    let diary = DiaryEntry { span: at, kind: DiaryKind::Symptom, text: "dizzy".into() };
    let pause = (EventKind::Pause, 100, 200);
    for (edit, words, beats) in [
        (relabel(&[5], BeatClass::V), "1 beat labelled V", 1),
        (relabel(&[5, 6, 9], BeatClass::S), "3 beats labelled S", 3),
        (Edit::InsertBeat { sample: 5, class: BeatClass::F }, "beat F inserted", 1),
        (Edit::RemoveBeats { beats: vec![5] }, "1 beat removed", 1),
        (Edit::RemoveBeats { beats: vec![5, 6] }, "2 beats removed", 2),
        (Edit::MoveBeat { from: 5, to: 8 }, "beat moved", 1),
        (Edit::MarkNoise { span: at }, "stretch marked unreadable", 0),
        (Edit::UnmarkNoise { span: at }, "stretch marked readable", 0),
        (keep(EventKind::Pause, 100, 200), "Pause kept", 0),
        (drop_event(EventKind::VentricularFibrillation, 100, 200), "VF/VFL candidate dropped", 0),
        (change(pause, (EventKind::AtrialFlutter, 100, 300)), "Pause changed to Atrial flutter", 0),
        (Edit::AddEvent { kind: EventKind::LongestRr, span: at }, "Longest RR added", 0),
        (Edit::InvertLead { lead: 1, inverted: true }, "lead 2 drawn inverted", 0),
        (Edit::InvertLead { lead: 0, inverted: false }, "lead 1 drawn as recorded", 0),
        (Edit::AddDiary { entry: diary }, "diary entry 'dizzy' added", 0),
        (Edit::ChangeSetting { key: "pause_ms".into(), value: 2500.0 }, "setting pause_ms set to 2500", 0),
        (Edit::Conclude { text: "Sinus rhythm.".into() }, "conclusion written", 0),
        (Edit::MarkRead { span: at }, "stretch marked as read", 0),
    ] {
        assert_eq!((edit.words().as_str(), edit.beat_count()), (words, beats));
    }
}
