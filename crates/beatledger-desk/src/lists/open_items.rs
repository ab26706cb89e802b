//! Open items: everything that still needs a reader, most consequential first.

use std::collections::BTreeMap;
use std::sync::Arc;

use beatledger_core::model::{BeatClass, Event, EventKind, EventState, Origin, Span};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use beatledger_core::shown::{ToShow, is_shown, not_shown};
use beatledger_report::values::{day_clock, grouped};

use crate::app::lookup::event_beats;
use crate::app::selection::Selection;
use crate::paint::words::beats_words;

/// Beats whose label the program gives less confidence than this are uncertain (design choice).
pub const UNCERTAIN: f32 = 0.6;
/// Groups with fewer open beats of a class than this are put together in one item (design choice).
const SMALL_GROUP: usize = 3;

/// What an open item is about; two items of one snapshot never share it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ItemKey {
    /// An event that must be read before signing.
    Critical(EventKind, Span),
    /// A run that nobody has read.
    Run(EventKind, Span),
    /// Other events of one kind that nobody has answered and that were not on the screen yet.
    NotShown(EventKind),
    /// Places that a review must have seen and that were not on the screen yet.
    ForReview,
    /// Beats of one class in one shape group that nobody has agreed with.
    Group(BeatClass, u32),
    /// The same in small groups, taken together.
    SmallGroups(BeatClass),
    /// Beats of one class with a low confidence.
    Uncertain(BeatClass),
    /// Edits whose target is gone.
    Orphans,
}

/// One open item.
#[derive(Clone, Debug)]
pub struct Item {
    /// What it is about.
    pub key: ItemKey,
    /// What it is, in words.
    pub words: String,
    /// Why it is open, in words.
    pub why: &'static str,
    /// What choosing it selects.
    pub beats: Arc<Vec<i64>>,
    /// The event to choose, as an index into the snapshot's events.
    pub event: Option<u32>,
    /// Where to go when it is neither beats nor an event: the sample.
    pub place: Option<i64>,
}

impl Item {
    /// The selection that choosing it makes.
    pub fn selection(&self, snapshot: &Snapshot) -> Selection {
        match self.event.and_then(|i| snapshot.events.get(i as usize)) {
            Some(event) => crate::app::lookup::selection_of_event(snapshot, event),
            None => {
                Selection { beats: self.beats.clone(), words: self.words.clone(), ..Selection::default() }
            }
        }
    }

    /// The edit that settles it without looking further, when one does.
    pub fn agree(&self) -> Option<Edit> {
        let class = match self.key {
            ItemKey::Group(class, _) | ItemKey::SmallGroups(class) | ItemKey::Uncertain(class) => class,
            _ => return None,
        };
        Some(Edit::Relabel { beats: self.beats.to_vec(), class })
    }
}

/// True for the kinds that stand in the list even when they need not be read before signing.
fn is_run(kind: EventKind) -> bool {
    matches!(
        kind,
        EventKind::VentricularTachycardia | EventKind::IdioventricularRun | EventKind::SupraventricularRun
    )
}

/// What still needs a reader in `snapshot`, most consequential first.
pub fn open_items(snapshot: &Snapshot) -> Vec<Item> {
    let mut items = Vec::new();
    event_items(snapshot, &mut items, true);
    event_items(snapshot, &mut items, false);
    items.extend(EventKind::ALL.into_iter().filter_map(|kind| not_shown_item(snapshot, kind)));
    items.extend(for_review_item(snapshot));
    beat_items(snapshot, &mut items);
    if !snapshot.orphans.is_empty() {
        items.push(Item {
            key: ItemKey::Orphans,
            words: format!("{} without a target", plural(snapshot.orphans.len(), "edit")),
            why: "see the ledger",
            beats: Arc::default(),
            event: None,
            place: None,
        });
    }
    items
}

/// A count with its noun: `1 edit`, `3 edits`.
pub fn plural(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{} {what}s", grouped(n as u64)) }
}

fn event_items(snapshot: &Snapshot, items: &mut Vec<Item>, critical: bool) {
    let rank = |k: EventKind| EventKind::ALL.iter().position(|a| *a == k);
    let mut open: Vec<(usize, &Event)> = snapshot
        .events
        .iter()
        .enumerate()
        .filter(|(_, e)| {
            e.state == EventState::Unread && e.critical == critical && (critical || is_run(e.kind))
        })
        .collect();
    open.sort_by_key(|(_, e)| (rank(e.kind), e.span));
    for (index, event) in open {
        let key = if critical {
            ItemKey::Critical(event.kind, event.span)
        } else {
            ItemKey::Run(event.kind, event.span)
        };
        items.push(Item {
            key,
            words: format!("{} {}", event.kind.words(), day_clock(&snapshot.recording, event.span.start)),
            why: if critical { "must be read before signing" } else { "unread run" },
            beats: Arc::new(event_beats(snapshot, event)),
            event: Some(index as u32),
            place: None,
        });
    }
}

/// The events of a kind that stand in no item of their own, that nobody has answered and that were not shown: choosing it goes
/// to the first of them.
fn not_shown_item(snapshot: &Snapshot, kind: EventKind) -> Option<Item> {
    if kind.is_landmark() || is_run(kind) {
        return None;
    }
    let is_open = |e: &Event| {
        e.kind == kind && e.state == EventState::Unread && !e.critical && !is_shown(snapshot, e.span)
    };
    let open: Vec<usize> = (0..snapshot.events.len()).filter(|i| is_open(&snapshot.events[*i])).collect();
    let first = *open.first()?;
    Some(Item {
        key: ItemKey::NotShown(kind),
        words: format!("{}: {} not seen", kind.words(), grouped(open.len() as u64)),
        why: "found by the program, not on the screen yet",
        beats: Arc::new(event_beats(snapshot, &snapshot.events[first])),
        event: Some(first as u32),
        place: None,
    })
}

/// The places that a review must have seen, in one item: choosing it goes to the first of them.
fn for_review_item(snapshot: &Snapshot) -> Option<Item> {
    let places = not_shown(snapshot);
    let (event, place) = match places.first()? {
        ToShow::Event(index) => (Some(*index as u32), None),
        ToShow::Symptom(index) => (None, Some(snapshot.diary[*index].span.start)),
    };
    Some(Item {
        key: ItemKey::ForReview,
        words: format!("For a review: {} not seen", plural(places.len(), "place")),
        why: "critical events, extremes of the day, symptoms",
        beats: Arc::default(),
        event,
        place,
    })
}

fn beat_items(snapshot: &Snapshot, items: &mut Vec<Item>) {
    let mut groups: BTreeMap<(BeatClass, u32), Vec<i64>> = BTreeMap::new();
    let mut uncertain: [Vec<i64>; 5] = Default::default();
    for beat in snapshot.beats.iter().filter(|b| b.origin == Origin::Found) {
        if beat.class != BeatClass::N {
            groups.entry((beat.class, beat.group)).or_default().push(beat.sample);
        } else if beat.confidence < UNCERTAIN {
            uncertain[beat.class.index()].push(beat.sample);
        }
    }
    let mut small: BTreeMap<BeatClass, Vec<i64>> = BTreeMap::new();
    let mut large = Vec::new();
    for ((class, group), beats) in groups {
        if beats.len() < SMALL_GROUP {
            small.entry(class).or_default().extend(beats);
        } else {
            large.push((class, group, beats));
        }
    }
    let order = [BeatClass::V, BeatClass::F, BeatClass::S, BeatClass::Q, BeatClass::N];
    let rank = |class: BeatClass| order.iter().position(|c| *c == class);
    large.sort_by_key(|(class, group, beats)| (rank(*class), std::cmp::Reverse(beats.len()), *group));
    for class in order {
        for (_, group, beats) in large.iter().filter(|(c, ..)| *c == class) {
            items.push(group_item(*group, class, beats.clone()));
        }
        if let Some(beats) = small.remove(&class) {
            items.push(small_item(class, beats));
        }
        let low = std::mem::take(&mut uncertain[class.index()]);
        if !low.is_empty() {
            items.push(uncertain_item(class, low));
        }
    }
}

fn group_item(group: u32, class: BeatClass, beats: Vec<i64>) -> Item {
    Item {
        key: ItemKey::Group(class, group),
        words: format!("Group {}: {} {}", group.wrapping_add(1), beats_words(beats.len()), class.letter()),
        why: "labels not agreed yet",
        beats: Arc::new(beats),
        event: None,
        place: None,
    }
}

fn small_item(class: BeatClass, mut beats: Vec<i64>) -> Item {
    beats.sort_unstable();
    Item {
        key: ItemKey::SmallGroups(class),
        words: format!("Small groups: {} {}", beats_words(beats.len()), class.letter()),
        why: "labels not agreed yet",
        beats: Arc::new(beats),
        event: None,
        place: None,
    }
}

fn uncertain_item(class: BeatClass, beats: Vec<i64>) -> Item {
    Item {
        key: ItemKey::Uncertain(class),
        words: format!("Uncertain: {} {}", beats_words(beats.len()), class.letter()),
        why: "confidence below 0.60",
        beats: Arc::new(beats),
        event: None,
        place: None,
    }
}
