//! The picture of the day band in physical pixels: rate density and lanes, painted once a snapshot.

use std::sync::Arc;

use beatledger_core::model::{BeatClass, Event, EventKind, Reading, Span};
use beatledger_core::session::Snapshot;

use crate::app::lookup::nights;
use crate::paint::canvas::Canvas;
use crate::paint::picture_keys::DayKey;
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;

/// Names of the lanes, top to bottom.
pub(super) const LANES: [&str; 8] =
    ["S beats", "V beats", "VT, VF", "AF", "Pauses, block", "Unreadable", "Diary", "Shown"];

/// What the picture depends on.
#[derive(PartialEq)]
pub struct BandKey {
    day: DayKey,
    events: usize,
    read: Arc<Vec<Span>>,
    night_h: [f64; 2],
    range_bpm: (f32, f32),
    dark: bool,
    scale: f32,
}

impl BandKey {
    /// The key of what a view shows.
    pub fn of(view: &ViewContext<'_>, range_bpm: (f32, f32), scale: f32) -> Self {
        let s = view.snapshot;
        Self {
            day: DayKey::of(s),
            // Only compared; the day key keeps the same snapshot's beats alive, and both change together.
            events: Arc::as_ptr(&s.events) as usize,
            read: s.read.clone(),
            night_h: [s.settings.night_from_h, s.settings.night_to_h],
            range_bpm,
            dark: view.theme.dark,
            scale,
        }
    }
}

/// Instantaneous rate of every beat that has one.
pub struct Trend {
    /// Sample, rate in bpm, class.
    points: Vec<(i64, f32, BeatClass)>,
    /// Lowest and highest rate that is drawn.
    pub range_bpm: (f32, f32),
    /// Number of beats of each class.
    pub counts: [usize; 5],
}

impl Trend {
    /// Rates of a day; the range covers all but the outermost 0.2 % and is rounded to 20 bpm.
    pub fn of(snapshot: &Snapshot) -> Self {
        let reading =
            Reading::new(&snapshot.recording, &snapshot.settings, &snapshot.beats, &snapshot.unreadable);
        let points: Vec<_> = snapshot
            .beats
            .iter()
            .zip(&reading.rr_ms)
            .filter(|(_, rr)| rr.is_finite() && **rr > 0.0)
            .map(|(beat, rr)| (beat.sample, 60_000.0 / rr, beat.class))
            .collect();
        let mut rates: Vec<f32> = points.iter().map(|p| p.1).collect();
        rates.sort_unstable_by(f32::total_cmp);
        let at = |share: f32| rates.get((rates.len() as f32 * share) as usize).copied();
        let low = at(0.002).map_or(40.0, |r| (r / 20.0).floor() * 20.0);
        let high = at(0.998).map_or(140.0, |r| (r / 20.0).ceil() * 20.0);
        let mut counts = [0; 5];
        snapshot.beats.iter().for_each(|b| counts[b.class.index()] += 1);
        Self { points, counts, range_bpm: (low.clamp(20.0, 40.0), high.clamp(120.0, 220.0)) }
    }
}

/// Paints everything that does not move with the place or the selection.
pub fn paint(
    canvas: &mut Canvas,
    snapshot: &Snapshot,
    theme: &Theme,
    trend: &Trend,
    pixels_per_point: f32,
    (rate_pt, lane_pt): (f32, f32),
) {
    let picture = Picture {
        samples: snapshot.recording.samples.max(1),
        width: canvas.width() as i64,
        rate_px: (rate_pt * pixels_per_point).round() as i64,
        lane_px: lane_pt * pixels_per_point,
        px: pixels_per_point.round().max(1.0) as i64,
    };
    let bottom = canvas.height() as i64;
    for night in nights(snapshot) {
        let (from, to) = picture.columns(night);
        canvas.fill(from..to, 0..bottom, theme.night);
    }
    for lane in 0..LANES.len() {
        let y = picture.lane(lane).start;
        canvas.fill(0..picture.width, y..y + 1, theme.grid_bold);
    }
    picture.rate_lines(canvas, theme, trend.range_bpm);
    picture.density(canvas, theme, trend);
    picture.ectopy(canvas, snapshot, theme, BeatClass::S, 0);
    picture.ectopy(canvas, snapshot, theme, BeatClass::V, 1);
    for event in snapshot.events.iter().filter(|e| e.stands()) {
        picture.event(canvas, event, theme);
    }
    for span in snapshot.unreadable.iter() {
        let (from, to) = picture.columns(*span);
        canvas.hatch(from..to, 0..picture.rate_px, theme.hatch, 6 * picture.px, picture.px);
        canvas.fill(from..to, picture.inside(5), theme.hatch);
    }
    for entry in snapshot.diary.iter() {
        picture.flag(canvas, entry.span, theme);
    }
    for span in snapshot.read.iter() {
        let (from, to) = picture.columns(*span);
        canvas.fill(from..to, picture.inside(7), theme.edge);
    }
}

struct Picture {
    samples: i64,
    width: i64,
    rate_px: i64,
    lane_px: f32,
    px: i64,
}

impl Picture {
    fn column(&self, sample: i64) -> i64 {
        (sample.clamp(0, self.samples) as f64 / self.samples as f64 * self.width as f64) as i64
    }

    /// First and one-past-last column; at least one pixel wide, so that nothing short vanishes.
    fn columns(&self, span: Span) -> (i64, i64) {
        let from = self.column(span.start).min(self.width - 1);
        (from, self.column(span.end).max(from + self.px))
    }

    fn lane(&self, lane: usize) -> std::ops::Range<i64> {
        let at = |n: usize| self.rate_px + (n as f32 * self.lane_px).round() as i64;
        at(lane)..at(lane + 1)
    }

    fn inside(&self, lane: usize) -> std::ops::Range<i64> {
        let lane = self.lane(lane);
        lane.start + 3 * self.px..lane.end - 2 * self.px
    }

    fn y_from_bpm(&self, bpm: f32, range: (f32, f32)) -> i64 {
        let share = ((bpm - range.0) / (range.1 - range.0)).clamp(0.0, 1.0);
        ((1.0 - share) * (self.rate_px - 1) as f32).round() as i64
    }

    fn rate_lines(&self, canvas: &mut Canvas, theme: &Theme, range: (f32, f32)) {
        for bpm in [60.0, 100.0, 140.0, 180.0] {
            if range.0 < bpm && bpm < range.1 {
                let y = self.y_from_bpm(bpm, range);
                canvas.fill(0..self.width, y..y + 1, theme.grid_bold);
            }
        }
    }

    fn density(&self, canvas: &mut Canvas, theme: &Theme, trend: &Trend) {
        let cells = (self.width * self.rate_px) as usize;
        let mut normal = vec![0u16; cells];
        let mut other = vec![None; cells];
        for (sample, bpm, class) in &trend.points {
            let (x, y) = (self.column(*sample), self.y_from_bpm(*bpm, trend.range_bpm));
            // A dot is a point wide and high at any scale, so that a fine screen does not thin the cloud out.
            for (dx, dy) in (0..self.px).flat_map(|dx| (0..self.px).map(move |dy| (dx, dy))) {
                let (x, y) = ((x + dx).min(self.width - 1), (y + dy).min(self.rate_px - 1));
                let at = (y * self.width + x) as usize;
                match class {
                    BeatClass::N => normal[at] = normal[at].saturating_add(1),
                    _ => other[at] = Some(*class),
                }
            }
        }
        let crowded = f32::from(normal.iter().copied().max().unwrap_or(1).max(1)).min(24.0);
        for at in 0..cells {
            let (x, y) = (at as i64 % self.width, at as i64 / self.width);
            if normal[at] > 0 {
                let cover = 0.28 + 0.72 * (f32::from(normal[at]) / crowded).min(1.0).sqrt();
                canvas.blend(x, y, theme.ink, cover);
            } else if let Some(class) = other[at] {
                canvas.blend(x, y, theme.class(class), 0.8);
            }
        }
    }

    /// Beats of one class: the taller the bar, the more of them in its column (logarithmic).
    fn ectopy(&self, canvas: &mut Canvas, snapshot: &Snapshot, theme: &Theme, class: BeatClass, lane: usize) {
        let mut counts = vec![0u32; self.width as usize];
        for beat in snapshot.beats.iter().filter(|b| b.class == class) {
            counts[self.column(beat.sample).min(self.width - 1) as usize] += 1;
        }
        let most = counts.iter().copied().max().unwrap_or(0).max(1) as f32;
        let inside = self.inside(lane);
        let tall = (inside.end - inside.start) as f32 + 1.0;
        for (x, n) in counts.iter().enumerate().filter(|(_, n)| **n > 0) {
            let share = if most > 1.0 { (*n as f32 + 1.0).ln() / (most + 1.0).ln() } else { 1.0 };
            let height = (tall * (0.45 + 0.55 * share)).round() as i64;
            let x = x as i64;
            canvas.fill(x..x + self.px, inside.end - height..inside.end, theme.class(class));
        }
    }

    fn event(&self, canvas: &mut Canvas, event: &Event, theme: &Theme) {
        let lane = match event.kind {
            EventKind::VentricularFibrillation | EventKind::VentricularTachycardia => 2,
            EventKind::AtrialFibrillation | EventKind::AtrialFlutter => 3,
            EventKind::Pause => 4,
            block if EventKind::BLOCKS.contains(&block) => 4,
            EventKind::ContactUncertain => 5,
            _ => return,
        };
        let (from, to) = self.columns(event.span);
        let color = if event.critical { theme.ink } else { theme.faint };
        // The shortest pause and the shortest run must be seen in a fortnight.
        let least = if lane == 3 { 0 } else { 3 * self.px };
        let wide = to.max(from + least);
        canvas.fill(from..wide, self.inside(lane), color);
    }

    /// A small flag on its pole.
    fn flag(&self, canvas: &mut Canvas, span: Span, theme: &Theme) {
        let (from, to) = self.columns(span);
        let lane = self.lane(6);
        canvas.fill(from..from + self.px, lane.start + 2 * self.px..lane.end - self.px, theme.ink);
        let flag = lane.start + 2 * self.px..lane.start + 6 * self.px;
        canvas.fill(from..from + 5 * self.px, flag, theme.ink);
        if to - from > self.px {
            canvas.fill(from..to, lane.end - 3 * self.px..lane.end - 2 * self.px, theme.ink);
        }
    }
}
