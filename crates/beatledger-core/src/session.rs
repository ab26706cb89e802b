//! A reading session: entries go in, immutable snapshots come out.

use std::sync::Arc;

use crate::model::{Beat, DiaryEntry, Event, EventState, Found, Reading, Recording, Span, StLead, Summary};
use crate::review::{self, Action, Edit, Entry, Fold, Orphan};
use crate::settings::Settings;
use crate::summarise::Kept;
use crate::{measure, rhythm, summarise};

/// Everything as it stands now. Views read it and never change it.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The recording.
    pub recording: Arc<Recording>,
    /// What the program found.
    pub found: Arc<Found>,
    /// Settings in force.
    pub settings: Settings,
    /// Beats as they stand, sorted.
    pub beats: Arc<Vec<Beat>>,
    /// Unreadable time as it stands, gaps included, sorted and disjoint.
    pub unreadable: Arc<Vec<Span>>,
    /// Events as they stand, dropped ones included, sorted by start.
    pub events: Arc<Vec<Event>>,
    /// The summary.
    pub summary: Arc<Summary>,
    /// Diary of the recording and of the reader, sorted by start.
    pub diary: Arc<Vec<DiaryEntry>>,
    /// Per lead: drawn upside down.
    pub inverted: Vec<bool>,
    /// Stretches that a reader has looked at, sorted and disjoint.
    pub read: Arc<Vec<Span>>,
    /// The reader's conclusion; empty when none is written.
    pub conclusion: String,
    /// Edits whose target is gone.
    pub orphans: Vec<Orphan>,
    /// State of the ledger.
    pub fold: Fold,
    /// ST of every lead: its changes are events, its courses come with the whole summary.
    st: Arc<Vec<StLead>>,
    kept: Arc<Kept>,
}

impl Snapshot {
    /// What stands after the edits in force: a pure function of its arguments.
    pub fn new(recording: Arc<Recording>, base: &Settings, found: Arc<Found>, fold: Fold) -> Self {
        Self::first(recording, base, found, fold, Arc::default()).whole()
    }

    /// The same for another fold of the ledger, with the figures that take long still to be worked out.
    pub fn refold(&self, base: &Settings, fold: Fold) -> Self {
        Self::first(self.recording.clone(), base, self.found.clone(), fold, self.kept.clone())
    }

    fn first(
        recording: Arc<Recording>,
        base: &Settings,
        found: Arc<Found>,
        fold: Fold,
        kept: Arc<Kept>,
    ) -> Self {
        use crate::model::EventKind::{AtrialFibrillation, AtrialFlutter};
        let edits = &fold.in_force;
        let (settings, mut orphans) = review::apply_settings(base, edits);
        let unreadable = review::unreadable_in_force(&recording, &found, edits);
        let (beats, lost_beats) = review::apply_beats(&recording, &found, &unreadable, edits);
        let silences = review::silences_in_force(&found, edits);
        let reading = Reading::new(&recording, &settings, &beats, &unreadable)
            .with_found(&found)
            .with_silences(&silences)
            .with_answers(
                review::said_not(edits, AtrialFibrillation, &[AtrialFlutter]),
                no_block(edits),
                review::said_not(edits, AtrialFlutter, &[]),
            );
        let mut found_events = rhythm::events(&reading);
        let st = measure::st::leads(&reading);
        found_events.extend(measure::st::events(&reading, &st));
        found_events.sort_by_key(|e| (e.span.start, e.kind));
        let (events, lost_events) = review::apply_events(found_events, &beats, edits);
        orphans.extend(lost_beats);
        orphans.extend(lost_events);
        let diary = diary_in_force(&recording, edits);
        let summary = summarise::summarise_first(&reading, &events, &diary);
        Self {
            inverted: inverted_in_force(&found, edits),
            read: Arc::new(read_spans(edits)),
            conclusion: edits.iter().rev().find_map(|(_, e)| conclusion(e)).unwrap_or_default(),
            settings,
            beats: Arc::new(beats),
            unreadable: Arc::new(unreadable),
            events: Arc::new(events),
            summary: Arc::new(summary),
            diary: Arc::new(diary),
            recording,
            found,
            orphans,
            fold,
            st: Arc::new(st),
            kept,
        }
    }

    /// True when every figure is worked out.
    pub fn is_whole(&self) -> bool {
        self.summary.whole
    }

    /// The same with every figure.
    pub fn whole(&self) -> Self {
        if self.is_whole() {
            return self.clone();
        }
        let silences = review::silences_in_force(&self.found, &self.fold.in_force);
        let reading = Reading::new(&self.recording, &self.settings, &self.beats, &self.unreadable);
        let (summary, kept) = summarise::summarise_after(
            &reading.with_found(&self.found).with_silences(&silences),
            &self.events,
            &self.diary,
            self.st.to_vec(),
            Some(&self.kept),
        );
        Self { summary: Arc::new(summary), kept: Arc::new(kept), ..self.clone() }
    }

    /// Indices of the events that must be read before signing and are not.
    pub fn unread_critical(&self) -> Vec<usize> {
        (0..self.events.len())
            .filter(|i| self.events[*i].critical && self.events[*i].state == EventState::Unread)
            .collect()
    }
}

fn read_spans(edits: &[(u64, Edit)]) -> Vec<Span> {
    let read = edits.iter().filter_map(|(_, edit)| match edit {
        Edit::MarkRead { span } => Some(*span),
        _ => None,
    });
    Span::merged(read.collect(), 0)
}

fn conclusion(edit: &Edit) -> Option<String> {
    match edit {
        Edit::Conclude { text } => Some(text.clone()),
        _ => None,
    }
}

fn inverted_in_force(found: &Found, edits: &[(u64, Edit)]) -> Vec<bool> {
    let mut inverted = found.looks_inverted.clone();
    for (_, edit) in edits {
        if let Edit::InvertLead { lead, inverted: to } = edit
            && let Some(flag) = inverted.get_mut(usize::from(*lead))
        {
            *flag = *to;
        }
    }
    inverted
}

/// Stretches of which a reader said that they are no block of any kind.
fn no_block(edits: &[(u64, Edit)]) -> Vec<Span> {
    use crate::model::EventKind;
    let kinds = [&EventKind::BLOCKS[..], &[EventKind::ExitBlock, EventKind::BlockedAtrialEctopy]].concat();
    Span::merged(kinds.iter().flat_map(|k| review::said_not(edits, *k, &kinds)).collect(), 0)
}

fn diary_in_force(recording: &Recording, edits: &[(u64, Edit)]) -> Vec<DiaryEntry> {
    let mut diary = recording.diary.clone();
    diary.extend(edits.iter().filter_map(|(_, e)| match e {
        Edit::AddDiary { entry } => Some(entry.clone()),
        _ => None,
    }));
    diary.sort_by_key(|d| d.span);
    diary
}

/// A day being read. The caller owns the ledger file: it takes the [`Entry`] that a proposal gives,
/// writes and flushes it, and only then hands it to [`Session::push`].
#[derive(Clone, Debug)]
pub struct Session {
    recording: Arc<Recording>,
    settings: Settings,
    fold: Fold,
    next_seq: u64,
    snapshot: Arc<Snapshot>,
}

/// Who acts, and when by the computer's clock. Core has no clock; the caller says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// The reader's name.
    pub reader: String,
    /// ms since 1970-01-01 UTC.
    pub at_utc_ms: i64,
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
}

impl Session {
    /// A session on what was found with [`review::settings_of`] these entries, continuing from them.
    pub fn new(recording: Arc<Recording>, settings: Settings, found: Arc<Found>, entries: &[Entry]) -> Self {
        let fold = Fold::of(entries);
        let snapshot = Arc::new(Snapshot::new(recording.clone(), &settings, found, fold.clone()));
        let next_seq = entries.last().map_or(1, |e| e.seq + 1);
        Self { recording, settings, fold, next_seq, snapshot }
    }

    /// Everything as it stands now; cheap to clone and safe to keep.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        self.snapshot.clone()
    }

    /// What would stand if `edit` were made: for showing a pending change.
    pub fn preview(&self, edit: &Edit) -> Snapshot {
        self.preview_first(edit).whole()
    }

    /// The same with the figures that take long still to be worked out.
    pub fn preview_first(&self, edit: &Edit) -> Snapshot {
        let mut fold = self.fold.clone();
        fold.push(&self.entry(
            Action::Do(edit.clone()),
            &Stamp { reader: String::new(), at_utc_ms: 0, utc_offset_min: 0 },
        ));
        self.snapshot.refold(&self.settings, fold)
    }

    /// The next ledger entry for an action; nothing changes yet.
    pub fn entry(&self, action: Action, stamp: &Stamp) -> Entry {
        Entry {
            seq: self.next_seq,
            at_utc_ms: stamp.at_utc_ms,
            utc_offset_min: stamp.utc_offset_min,
            reader: stamp.reader.clone(),
            action,
        }
    }

    /// The entry that takes the last edit back, when there is one.
    pub fn undo_entry(&self, stamp: &Stamp) -> Option<Entry> {
        self.fold.next_undo().map(|(seq, _)| self.entry(Action::Undo { seq: *seq }, stamp))
    }

    /// The entry that makes the last undone edit again, when there is one.
    pub fn redo_entry(&self, stamp: &Stamp) -> Option<Entry> {
        self.fold.next_redo().map(|(seq, _)| self.entry(Action::Redo { seq: *seq }, stamp))
    }

    /// The same as [`Session::push`] for an entry after which beats were found anew.
    pub fn push_found(&mut self, entry: &Entry, found: Arc<Found>) -> Arc<Snapshot> {
        self.take(entry);
        let snapshot = Snapshot::new(self.recording.clone(), &self.settings, found, self.fold.clone());
        self.snapshot = Arc::new(snapshot);
        self.snapshot.clone()
    }

    /// Settings that would be in force after `action`. Where they differ from those of the snapshot in a setting
    /// that decides how beats are found, the caller finds beats anew with them first.
    pub fn settings_after(&self, action: Action) -> Settings {
        let mut fold = self.fold.clone();
        fold.push(&self.entry(action, &Stamp { reader: String::new(), at_utc_ms: 0, utc_offset_min: 0 }));
        review::apply_settings(&self.settings, &fold.in_force).0
    }

    /// Takes in an entry that is safely written, and gives the new snapshot.
    pub fn push(&mut self, entry: &Entry) -> Arc<Snapshot> {
        self.push_first(entry);
        self.finish()
    }

    /// The same with the figures that take long still to be worked out: [`Session::finish`] does it here and now, and
    /// [`Session::accept`] takes what [`Snapshot::whole`] gave elsewhere.
    pub fn push_first(&mut self, entry: &Entry) -> Arc<Snapshot> {
        self.take(entry);
        self.snapshot = Arc::new(self.snapshot.refold(&self.settings, self.fold.clone()));
        self.snapshot.clone()
    }

    /// Works out what is still to be worked out, and gives the whole snapshot.
    pub fn finish(&mut self) -> Arc<Snapshot> {
        if !self.snapshot.is_whole() {
            self.snapshot = Arc::new(self.snapshot.whole());
        }
        self.snapshot.clone()
    }

    /// Takes the whole of what stands now; false for what stood before.
    pub fn accept(&mut self, whole: &Arc<Snapshot>) -> bool {
        let now = &self.snapshot;
        let is_now = Arc::ptr_eq(&whole.beats, &now.beats);
        if is_now {
            // What was looked at in the meantime is in no figure.
            let (read, fold) = (now.read.clone(), now.fold.clone());
            self.snapshot = Arc::new(Snapshot { read, fold, ..Snapshot::clone(whole) });
        }
        is_now
    }

    /// Takes in that a stretch was looked at ([`Edit::MarkRead`]), safely written. No figure depends on it, so that none is
    /// worked out anew.
    pub fn push_looked(&mut self, entry: &Entry) -> Arc<Snapshot> {
        self.take(entry);
        let read = Arc::new(read_spans(&self.fold.in_force));
        self.snapshot =
            Arc::new(Snapshot { read, fold: self.fold.clone(), ..Snapshot::clone(&self.snapshot) });
        self.snapshot.clone()
    }

    fn take(&mut self, entry: &Entry) {
        self.next_seq = entry.seq + 1;
        self.fold.push(entry);
    }
}

#[cfg(test)]
#[path = "session_kept_tests.rs"]
mod kept_tests;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{BeatClass, Evidence, FigureId, FigureValue, FoundBeat, Waves};
    use crate::rhythm::testing::{Made, sinus};

    /// Two hours of sinus rhythm with the limits of every wave, as if just opened.
    fn opened() -> Session {
        let Made { recording, beats, .. } =
            sinus(&(0..9000).map(|i| 780 + 15 * (i % 5) + 40 * ((i / 90) % 2)).collect::<Vec<_>>());
        let waves = Waves {
            p_on: Some(-190),
            qrs_on: Some(-40),
            qrs_off: Some(50),
            t_off: Some(330),
            ..Waves::default()
        };
        let found = |sample| FoundBeat {
            sample,
            class: BeatClass::N,
            confidence: 1.0,
            group: 0,
            waves,
            evidence: Evidence { quality: 1.0, ..Evidence::default() },
        };
        let found = Found { beats: beats.iter().map(|b| found(b.sample)).collect(), ..Found::default() };
        Session::new(Arc::new(recording), Settings::default(), Arc::new(found), &[])
    }

    fn stamp() -> Stamp {
        Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 }
    }

    fn relabel(session: &Session, from: usize) -> Entry {
        let beats = session.snapshot().beats[from..from + 40].iter().step_by(4).map(|b| b.sample).collect();
        session.entry(Action::Do(Edit::Relabel { beats, class: BeatClass::V }), &stamp())
    }

    /// Whatever a session worked out before, and in one step or two, its figures are those of its edits alone.
    #[test]
    fn figures_are_the_same_in_one_step_in_two_and_from_nothing() {
        let mut session = opened();
        for from in [100, 2000, 2010, 6000] {
            let entry = relabel(&session, from);
            let first = session.push_first(&entry);
            assert!(!first.is_whole());
            let whole = Arc::new(first.whole());
            assert!(session.accept(&whole));
            let anew = Snapshot::new(
                first.recording.clone(),
                &Settings::default(),
                first.found.clone(),
                first.fold.clone(),
            );
            assert_eq!(session.snapshot().summary, anew.summary);
            assert_eq!((&whole.beats, &whole.events), (&anew.beats, &anew.events));
        }
        let undo = session.undo_entry(&stamp()).unwrap();
        let in_one = session.clone().push(&undo);
        session.push_first(&undo);
        assert_eq!(session.finish().summary, in_one.summary);
    }

    /// Before the long figures are there they say so, and all others are already what they will be.
    #[test]
    fn a_figure_that_is_being_worked_out_says_so_and_the_others_stand() {
        let mut session = opened();
        let entry = relabel(&session, 500);
        let first = session.push_first(&entry);
        let whole = first.whole();
        for (early, late) in first.summary.figures.iter().zip(&whole.summary.figures) {
            match early.family().comes_later() {
                true => {
                    assert_eq!(
                        early.value,
                        FigureValue::NotComputable(FigureValue::AWAITED.into()),
                        "{}",
                        early.key()
                    )
                }
                false => assert_eq!(early, late, "{}", early.key()),
            }
            assert_eq!((early.key(), early.name), (late.key(), late.name));
        }
        assert_eq!(
            (&first.summary.hours, &first.summary.trend),
            (&whole.summary.hours, &whole.summary.trend)
        );
        assert!(
            whole.summary.number(FigureId::SdnnMs).is_some()
                && first.summary.number(FigureId::SdnnMs).is_none()
        );
    }

    #[test]
    fn what_was_looked_at_stands_at_once_and_stays_when_the_long_figures_come() {
        let mut session = opened();
        let entry = relabel(&session, 500);
        let whole = Arc::new(session.push_first(&entry).whole());
        let look = session.entry(Action::Do(Edit::MarkRead { span: Span::new(0, 900) }), &stamp());
        let now = session.push_looked(&look);
        assert_eq!((&*now.read, now.summary == whole.summary), (&vec![Span::new(0, 900)], false));
        assert!(session.accept(&whole));
        assert_eq!(*session.snapshot().read, [Span::new(0, 900)]);
        assert_eq!(session.snapshot().summary, session.clone().push(&look).summary);
    }

    #[test]
    fn figures_of_an_older_state_are_not_taken() {
        let mut session = opened();
        let entry = relabel(&session, 500);
        let older = Arc::new(session.push_first(&entry).whole());
        let entry = relabel(&session, 900);
        let now = session.push_first(&entry);
        assert!(!session.accept(&older));
        assert!(Arc::ptr_eq(&now.beats, &session.snapshot().beats) && !session.snapshot().is_whole());
    }
}
