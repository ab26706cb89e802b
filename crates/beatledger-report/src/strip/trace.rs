//! Samples of one lead to lines on paper: thinned without losing a peak, broken where nothing is there.

/// Where a lead stands on the paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub top_mm: f32,
    pub bottom_mm: f32,
    pub baseline_mm: f32,
}

/// Lines of a lead, mm, and whether some of it was cut at the edge of its room.
///
/// `mv[i]` is drawn at `x0_mm + i * step_mm`. Samples are thinned in columns of `per_column` samples counted
/// from the start of the recording (`first` is the first sample), so that a moving view keeps its shape.
pub(super) fn lines(
    mv: &[f32],
    first: i64,
    per_column: i64,
    (x0_mm, step_mm): (f32, f64),
    mm_per_mv: f32,
    room: Room,
) -> (Vec<Vec<[f32; 2]>>, bool) {
    let mut lines = Vec::new();
    let mut line: Vec<[f32; 2]> = Vec::new();
    let mut cut = false;
    let mut place = |i: usize| {
        let y = room.baseline_mm - mv[i] * mm_per_mv;
        cut |= y < room.top_mm - 1e-3 || y > room.bottom_mm + 1e-3;
        [x0_mm + (i as f64 * step_mm) as f32, y.clamp(room.top_mm, room.bottom_mm)]
    };
    let mut at = 0;
    while at < mv.len() {
        if mv[at].is_nan() {
            end_line(&mut line, &mut lines);
            at += 1;
            continue;
        }
        let column_end = (per_column - (first + at as i64).rem_euclid(per_column)) as usize;
        let end = (at..mv.len().min(at + column_end)).find(|i| mv[*i].is_nan());
        let end = end.unwrap_or(mv.len().min(at + column_end));
        let (low, high) = extremes(&mv[at..end]);
        line.push(place(at + low.min(high)));
        if low != high {
            line.push(place(at + low.max(high)));
        }
        at = end;
    }
    end_line(&mut line, &mut lines);
    (lines, cut)
}

fn end_line(line: &mut Vec<[f32; 2]>, lines: &mut Vec<Vec<[f32; 2]>>) {
    if let [only] = line[..] {
        // A lone sample would vanish as a line of no length.
        line.push([only[0] + 0.05, only[1]]);
    }
    if !line.is_empty() {
        lines.push(std::mem::take(line));
    }
}

/// Places of the lowest and the highest value; the slice holds at least one number and no NaN.
fn extremes(mv: &[f32]) -> (usize, usize) {
    let (mut low, mut high) = (0, 0);
    for (i, x) in mv.iter().enumerate() {
        if *x < mv[low] {
            low = i;
        }
        if *x > mv[high] {
            high = i;
        }
    }
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Room = Room { top_mm: 0.0, bottom_mm: 20.0, baseline_mm: 10.0 };

    #[test]
    fn a_spike_of_one_sample_survives_thinning() {
        let mut mv = vec![0.0; 1000];
        mv[503] = 0.9;
        let (lines, cut) = lines(&mv, 7, 10, (0.0, 0.01), 10.0, ROOM);
        let top = lines[0].iter().map(|p| p[1]).fold(f32::MAX, f32::min);
        assert_eq!(top, 1.0);
        assert!(!cut);
        assert!(lines[0].len() < 130, "{} points", lines[0].len());
    }

    #[test]
    fn missing_samples_break_the_line_and_are_not_bridged() {
        let mv = [0.0, 0.0, f32::NAN, f32::NAN, 0.1, 0.1];
        let (lines, _) = lines(&mv, 0, 1, (0.0, 1.0), 10.0, ROOM);
        assert_eq!(lines.len(), 2);
        assert!(lines[0].iter().all(|p| p[0] <= 1.0));
        assert_eq!(lines[1][0], [4.0, 9.0]);
    }

    #[test]
    fn what_leaves_its_room_is_cut_and_said_so() {
        let (lines, cut) = lines(&[0.0, 3.0, 0.0], 0, 1, (0.0, 1.0), 10.0, ROOM);
        assert!(cut);
        assert_eq!(lines[0][1][1], 0.0);
    }
}
