//! Where the leads stand on the paper: usual beats, lead names and calibration pulses of two leads never
//! meet; leads without room are left out. Rare tall beats may reach across a neighbour, but nothing is cut
//! that the paper has room for.

use beatledger_core::condition::display_mv;
use beatledger_core::model::{BeatClass, Span};
use beatledger_core::session::Snapshot;

/// Groups found with fewer beats than this do not decide the layout.
const FEW: u32 = 10;
/// Groups that hold at least this share of all grouped beats are the usual beats.
const USUAL_SHARE: f64 = 0.1;
/// Single beats against the mean of their group: breathing makes some taller, averaging flattens sharp peaks
/// (design choice).
const TALLER_THAN_MEAN: f32 = 1.15;
/// Most that one lead asks for above or below 0 mV, mm.
const MOST_MM: f32 = 30.0;
/// Height of the calibration pulse, mm.
const PULSE_MM: f32 = 10.0;
/// White between the beats of two leads, mm.
const WHITE_MM: f32 = 1.0;

/// How far the beats of a lead reach above and below 0 mV, mm at the gain of the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The usual beats.
    pub usual: (f32, f32),
    /// All groups that are more than a few beats.
    pub all: (f32, f32),
}

/// Height of print on the paper, mm: it depends on the zoom.
#[derive(Clone, Copy, Debug)]
pub struct PrintHeights {
    /// A lead name.
    pub name_mm: f32,
    /// The clock along the lower edge.
    pub clock_mm: f32,
}

/// How far the beats of each lead reach.
pub fn reach_mm(snapshot: &Snapshot, mm_per_mv: f32) -> Vec<Reach> {
    let groups = &snapshot.found.groups;
    let beats: f64 = groups.iter().map(|g| f64::from(g.count)).sum();
    let largest = groups.iter().map(|g| g.count).max().unwrap_or(0);
    let usual = |count: u32| count == largest || f64::from(count) >= USUAL_SHARE * beats;
    let of = |lead: usize, keep: &dyn Fn(u32) -> bool| {
        let kept = groups.iter().filter(|g| keep(g.count)).filter_map(|g| g.mean_mv.get(lead));
        let values = kept.flatten().filter(|v| v.is_finite());
        let (low, high) = values.fold((-0.2f32, 0.3f32), |(l, h), v| (l.min(*v), h.max(*v)));
        let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
        let (up, down) = if inverted { (-low, high) } else { (high, -low) };
        let mm = |mv: f32| (mv * mm_per_mv * TALLER_THAN_MEAN).min(MOST_MM);
        (mm(up), mm(down))
    };
    let has_mean = |lead: usize| {
        let kept = groups.iter().filter(|g| usual(g.count)).filter_map(|g| g.mean_mv.get(lead));
        kept.flatten().any(|v| v.is_finite())
    };
    let reach = |lead: usize| {
        let mut reach = Reach { usual: of(lead, &usual), all: of(lead, &|n| n >= FEW || usual(n)) };
        if !has_mean(lead) {
            let (up, down) = looked_at(snapshot, lead);
            let mm = |mv: f32| (mv * mm_per_mv).min(MOST_MM);
            reach.usual = (reach.usual.0.max(mm(up)), reach.usual.1.max(mm(down)));
            reach.all = (reach.all.0.max(reach.usual.0), reach.all.1.max(reach.usual.1));
        }
        reach
    };
    (0..snapshot.recording.leads.len()).map(reach).collect()
}

/// How far some normal beats of the day reach above and below 0 mV on a lead, mV, where no group has a mean.
fn looked_at(snapshot: &Snapshot, lead: usize) -> (f32, f32) {
    const LOOKS: usize = 16;
    let normal: Vec<i64> =
        snapshot.beats.iter().filter(|b| b.class == BeatClass::N).map(|b| b.sample).collect();
    let half = snapshot.recording.rate.samples_from_ms(250.0);
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    let (mut ups, mut downs, mut mv) = (Vec::new(), Vec::new(), Vec::new());
    for sample in normal.iter().step_by((normal.len() / LOOKS).max(1)) {
        let span = Span::new(sample - half, sample + half).overlap(snapshot.recording.whole());
        display_mv(&snapshot.recording, lead, span, &snapshot.settings, &mut mv);
        let values = mv.iter().filter(|v| v.is_finite());
        let (low, high) = values.fold((0f32, 0f32), |(l, h), v| (l.min(*v), h.max(*v)));
        ups.push(if inverted { -low } else { high });
        downs.push(if inverted { high } else { -low });
    }
    (upper(&mut ups), upper(&mut downs))
}

/// The value that four of five do not pass; 0 for none.
fn upper(values: &mut [f32]) -> f32 {
    values.sort_unstable_by(f32::total_cmp);
    values.get(values.len() * 4 / 5).copied().unwrap_or(0.0)
}

/// Room above the first lead, between neighbours, and below the last one, mm.
struct Rooms {
    above: f32,
    gaps: Vec<f32>,
    below: f32,
}

impl Rooms {
    /// The least room with which nothing usual collides.
    fn least(reach: &[Reach], print: PrintHeights) -> Self {
        let gap =
            |a: &Reach, b: &Reach| (a.usual.1 + b.usual.0 + WHITE_MM).max(print.name_mm + PULSE_MM + 0.5);
        Self {
            above: reach.first().map_or(0.0, |r| r.usual.0.max(PULSE_MM) + WHITE_MM),
            gaps: reach.windows(2).map(|pair| gap(&pair[0], &pair[1])).collect(),
            below: reach.last().map_or(0.0, |r| (r.usual.1 + WHITE_MM).max(print.name_mm + print.clock_mm)),
        }
    }

    /// The room with which no group crosses a neighbour or the edge.
    fn wished(reach: &[Reach], least: &Self) -> Self {
        let gaps = reach.windows(2).zip(&least.gaps);
        Self {
            above: reach.first().map_or(0.0, |r| r.all.0 + WHITE_MM).max(least.above),
            gaps: gaps.map(|(pair, gap)| (pair[0].all.1 + pair[1].all.0 + WHITE_MM).max(*gap)).collect(),
            below: reach.last().map_or(0.0, |r| r.all.1 + WHITE_MM).max(least.below),
        }
    }

    fn total(&self) -> f32 {
        self.above + self.gaps.iter().sum::<f32>() + self.below
    }
}

/// How many of the leads, from the first on, a paper of `paper_mm` has room for; at least one.
pub fn how_many_fit(reach: &[Reach], paper_mm: f32, print: PrintHeights) -> usize {
    let fits = |n: &usize| Rooms::least(&reach[..*n], print).total() <= paper_mm;
    (1..=reach.len()).take_while(fits).last().unwrap_or(1)
}

/// Distances of 0 mV of each lead from the top of a paper of `paper_mm`, in whole millimetres.
pub fn baselines_mm(reach: &[Reach], paper_mm: f32, print: PrintHeights) -> Vec<f32> {
    if reach.is_empty() {
        return Vec::new();
    }
    let least = Rooms::least(reach, print);
    let wished = Rooms::wished(reach, &least);
    let spare = (paper_mm - least.total()).max(0.0);
    // The edges come first: what crosses an edge is cut, what crosses a neighbour can still be read.
    let edges = (wished.above - least.above) + (wished.below - least.below);
    let between = wished.total() - least.total() - edges;
    let for_edges = if edges > 0.0 { (spare / edges).min(1.0) } else { 0.0 };
    let left = spare - edges * for_edges;
    let for_gaps = if between > 0.0 { (left / between).min(1.0) } else { 0.0 };
    let even = (left - between * for_gaps) / (reach.len() + 1) as f32;
    // On a paper that is too low even for one lead the names and the clock keep their room.
    let lowest = (paper_mm - least.below).max(paper_mm * 0.3);
    let mut at = least.above + (wished.above - least.above) * for_edges + even;
    if reach.len() == 1 {
        at = at.min(lowest);
    }
    let mut baselines = vec![at.round()];
    for (gap, wish) in least.gaps.iter().zip(&wished.gaps) {
        at += gap + (wish - gap) * for_gaps + even;
        baselines.push(at.round());
    }
    baselines
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRINT: PrintHeights = PrintHeights { name_mm: 4.0, clock_mm: 3.0 };

    fn lead(usual: (f32, f32), all: (f32, f32)) -> Reach {
        Reach { usual, all }
    }

    fn three() -> [Reach; 3] {
        [lead((14.0, 2.0), (18.0, 9.0)), lead((3.0, 9.0), (3.0, 15.0)), lead((10.0, 3.0), (12.0, 6.0))]
    }

    #[test]
    fn a_low_paper_shows_fewer_leads_and_never_two_on_one_line() {
        let reach = three();
        assert_eq!(how_many_fit(&reach, 20.0, PRINT), 1);
        assert_eq!(how_many_fit(&reach, 45.0, PRINT), 2);
        assert_eq!(how_many_fit(&reach, 60.0, PRINT), 3);
        for paper_mm in [20.0, 30.0, 42.0, 48.0, 60.0, 75.0, 120.0] {
            let n = how_many_fit(&reach, paper_mm, PRINT);
            let at = baselines_mm(&reach[..n], paper_mm, PRINT);
            for i in 1..n {
                let usual = reach[i - 1].usual.1 + reach[i].usual.0;
                assert!(at[i] - at[i - 1] >= usual.max(10.0 + PRINT.name_mm), "{paper_mm}: {at:?}");
            }
        }
    }

    #[test]
    fn the_edges_have_room_for_tall_beats_before_neighbours_have() {
        let reach = three();
        let spare = 5.0;
        let at = baselines_mm(&reach, Rooms::least(&reach, PRINT).total() + spare, PRINT);
        assert!(at[0] >= 17.0, "{at:?}");
    }

    #[test]
    fn on_a_high_paper_no_group_reaches_into_another_lead() {
        let reach = three();
        let at = baselines_mm(&reach, 110.0, PRINT);
        for i in 1..3 {
            assert!(at[i] - reach[i].all.0 >= at[i - 1] + reach[i - 1].all.1, "{at:?}");
        }
    }
}
