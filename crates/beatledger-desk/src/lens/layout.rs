//! Where the leads stand on the paper: tall beats may reach across a neighbour, but nothing is cut that the
//! paper has room for.

use beatledger_core::session::Snapshot;

/// Groups found with fewer beats than this do not decide the layout.
const FEW: u32 = 10;
/// Most that one lead asks for above or below 0 mV, mm.
const MOST_MM: f32 = 30.0;
/// Room for the clock below the last lead, mm.
const CLOCK_MM: f32 = 7.0;

/// How far the usual beats of each of `leads` reach above and below 0 mV, mm at 10 mm/mV.
pub fn reach_mm(snapshot: &Snapshot, mm_per_mv: f32) -> Vec<(f32, f32)> {
    let groups = || snapshot.found.groups.iter().filter(|g| g.count >= FEW);
    (0..snapshot.recording.leads.len())
        .map(|lead| {
            let values = groups().filter_map(|g| g.mean_mv.get(lead)).flatten().filter(|v| v.is_finite());
            let (low, high) = values.fold((-0.3f32, 0.5f32), |(l, h), v| (l.min(*v), h.max(*v)));
            let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
            let (up, down) = if inverted { (-low, high) } else { (high, -low) };
            ((up * mm_per_mv).min(MOST_MM), (down * mm_per_mv).min(MOST_MM))
        })
        .collect()
}

/// Distances of 0 mV of each lead from the top of a paper of `paper_mm`, in whole millimetres.
pub fn baselines_mm(reach: &[(f32, f32)], paper_mm: f32) -> Vec<f32> {
    let (Some(first), Some(last)) = (reach.first(), reach.last()) else { return Vec::new() };
    let (above, below) = (first.0 + 1.0, (last.1 + 1.0).max(CLOCK_MM));
    let needs: Vec<f32> = reach.windows(2).map(|pair| pair[0].1 + pair[1].0).collect();
    let needed: f32 = needs.iter().sum();
    let spare = ((paper_mm - above - needed - below) / (reach.len() + 1) as f32).max(0.0);
    let top = (above + spare).min(paper_mm * 0.6);
    let bottom = (paper_mm - below - spare).max(top);
    let mut at = top;
    let mut baselines = vec![at.round()];
    for need in needs {
        at += (bottom - top) * need / needed.max(1.0);
        baselines.push(at.round());
    }
    baselines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_lead_keeps_room_for_its_tall_beats_on_a_low_paper() {
        let low = baselines_mm(&[(15.0, 5.0), (3.0, 12.0), (14.0, 6.0)], 48.0);
        assert_eq!(low.len(), 3);
        assert!(low[0] >= 15.0 && low[2] <= 41.0, "{low:?}");
        assert!(low[0] < low[1] && low[1] < low[2], "{low:?}");
    }

    #[test]
    fn on_a_high_paper_no_lead_reaches_into_another() {
        let reach = [(15.0, 5.0), (3.0, 12.0), (14.0, 6.0)];
        let high = baselines_mm(&reach, 100.0);
        for i in 1..3 {
            assert!(high[i] - reach[i].0 >= high[i - 1] + reach[i - 1].1, "{high:?}");
        }
    }
}
