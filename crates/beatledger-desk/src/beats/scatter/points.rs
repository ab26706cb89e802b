//! Points of the RR scatter.

use beatledger_core::model::{BeatClass, Reading};
use beatledger_core::session::Snapshot;

/// A beat with an interval on either side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Sample of the beat.
    pub sample: i64,
    /// Interval that ends at the beat, ms.
    pub before_ms: f32,
    /// Interval that begins at the beat, ms.
    pub after_ms: f32,
    /// Class in force.
    pub class: BeatClass,
}

/// All points of a day and the range that is drawn.
pub struct Points {
    /// The points, sorted by sample.
    pub list: Vec<Point>,
    /// Points of each class.
    pub counts: [usize; 5],
    /// Both axes, ms.
    pub range_ms: (f32, f32),
    /// Points beyond the range, drawn at the edge.
    pub beyond: usize,
    /// Beats that have no interval on one side.
    pub without: usize,
}

impl Points {
    /// Points of a day. A beat next to unreadable time or an edge has no point.
    pub fn of(snapshot: &Snapshot) -> Self {
        let reading =
            Reading::new(&snapshot.recording, &snapshot.settings, &snapshot.beats, &snapshot.unreadable);
        let list: Vec<Point> = snapshot
            .beats
            .iter()
            .enumerate()
            .filter_map(|(i, beat)| {
                let (before_ms, after_ms) = (reading.rr_before_ms(i)?, reading.rr_after_ms(i)?);
                Some(Point { sample: beat.sample, before_ms, after_ms, class: beat.class })
            })
            .collect();
        let mut counts = [0; 5];
        list.iter().for_each(|p| counts[p.class.index()] += 1);
        let mut longest: Vec<f32> = list.iter().map(|p| p.before_ms.max(p.after_ms)).collect();
        longest.sort_unstable_by(f32::total_cmp);
        let usual = longest.get(longest.len().saturating_sub(1) * 998 / 1000).copied().unwrap_or(1200.0);
        let high = [1200.0, 1600.0, 2000.0, 2400.0].into_iter().find(|h| usual <= *h).unwrap_or(3000.0);
        let range_ms = (200.0, high);
        let out = |ms: f32| ms < range_ms.0 || ms > range_ms.1;
        let beyond = list.iter().filter(|p| out(p.before_ms) || out(p.after_ms)).count();
        let without = snapshot.beats.len() - list.len();
        Self { list, counts, range_ms, beyond, without }
    }

    /// The plot in words.
    pub fn words(&self) -> String {
        let mut words = format!("RR scatter, {} beats", self.list.len());
        for class in BeatClass::ALL.into_iter().filter(|c| self.counts[c.index()] > 0) {
            words += &format!(", {} {}", self.counts[class.index()], class.letter());
        }
        words + &format!(", {:.0} to {:.0} ms", self.range_ms.0, self.range_ms.1)
    }

    /// What the plot leaves out or moves, in words.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if self.beyond > 0 {
            let (low, high) = self.range_ms;
            notes.push(format!("{} beats beyond {low:.0} to {high:.0} ms stand at the edge.", self.beyond));
        }
        if self.without > 0 {
            notes.push(format!(
                "{} beats next to unreadable time or an end of the recording have no point.",
                self.without
            ));
        }
        notes
    }
}
