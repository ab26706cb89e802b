//! What the lens keeps between frames, and how it lays out the paper of a frame.

use std::sync::Arc;

use beatledger_core::model::Span;
use beatledger_report::strip::{PULSE_ROOM_MM, StripGeom, StripOptions, build};
use egui::{Mesh, Rect};

use super::calipers::Caliper;
use super::layout::{self, PrintHeights, Reach};
use super::paper::{self, PaperKey};
use super::paper_area::{CLOCK_PT, MM_PER_S, Paper};
use crate::paint::headline::HEAD_PT;
use crate::paint::picture_keys::DayKey;
use crate::shell::view_context::ViewContext;

/// Points of one millimetre at x1: 96 points an inch.
pub(super) const MM_PT: f32 = 96.0 / 25.4;
/// Zoom steps.
pub(super) const ZOOMS: [f32; 4] = [0.5, 1.0, 2.0, 4.0];
/// Height of a lead name on the paper at 100 % text size, points.
const NAME_PT: f32 = 16.0;
/// Room that the geometry gives each lead, mm: 3.5 mV up and 2.5 mV down, so that the paper alone limits it.
const ROOM_MM: f32 = 60.0;

/// What the lens keeps between frames: options, where it stands, and drawn paper; no facts.
pub struct LensState {
    /// True when a drag measures instead of selecting.
    pub calipers: bool,
    /// True to show the wave limits of every beat, not only of the selected ones.
    pub all_waves: bool,
    /// Lead of the day strip: it comes first where not all leads fit.
    pub strip_lead: usize,
    pub(super) zoom: usize,
    pub(super) skipped: usize,
    pub(super) start: i64,
    pub(super) last_place: Option<i64>,
    pub(super) shown: Option<Span>,
    pub(super) width_pt: f32,
    pub(super) scroll_pt: f32,
    pub(super) head_pt: f32,
    pub(super) pinch: f32,
    pub(super) drag: Option<(i64, i64)>,
    pub(super) caliper: Option<Caliper>,
    pub(super) reach: Option<(DayKey, Vec<Reach>)>,
    pub(super) geom: Option<(DayKey, StripOptions, Span, Arc<StripGeom>)>,
    pub(super) paper: Option<(PaperKey, Arc<Mesh>)>,
}

impl Default for LensState {
    fn default() -> Self {
        Self {
            calipers: false,
            all_waves: false,
            strip_lead: 0,
            zoom: 1,
            skipped: 0,
            start: 0,
            last_place: None,
            shown: None,
            width_pt: 900.0,
            scroll_pt: 0.0,
            head_pt: HEAD_PT,
            pinch: 1.0,
            drag: None,
            caliper: None,
            reach: None,
            geom: None,
            paper: None,
        }
    }
}

impl LensState {
    /// Less time, larger.
    pub fn closer(&mut self) {
        self.set_zoom((self.zoom + 1).min(ZOOMS.len() - 1));
    }

    /// More time, smaller.
    pub fn wider(&mut self) {
        self.set_zoom(self.zoom.saturating_sub(1));
    }

    /// The zoom step whose width comes nearest to `seconds`.
    pub fn set_seconds(&mut self, seconds: f64) {
        let wanted = self.width_pt / (MM_PT * MM_PER_S * seconds.max(0.1) as f32);
        let far = |step: usize| (ZOOMS[step] / wanted.max(1e-3)).ln().abs();
        self.set_zoom((0..ZOOMS.len()).min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(1));
    }

    /// Starts with the next lead, where not all fit.
    pub fn next_leads(&mut self, leads: usize) {
        self.skipped = (self.skipped + 1) % leads.max(1);
    }

    /// Shows another lead of the day strip first, where not all fit.
    pub fn follow(&mut self, strip_lead: usize) {
        if self.strip_lead != strip_lead {
            self.strip_lead = strip_lead;
            self.skipped = 0;
        }
    }

    /// True while the calipers are out.
    pub fn has_calipers(&self) -> bool {
        self.calipers || self.caliper.is_some()
    }

    /// Takes the calipers off the paper.
    pub fn clear_calipers(&mut self) {
        self.caliper = None;
        self.calipers = false;
    }

    /// The stretch that the last frame showed.
    pub fn visible_span(&self) -> Option<Span> {
        self.shown
    }

    /// Points per paper millimetre against 96 points an inch.
    pub fn zoom(&self) -> f32 {
        ZOOMS[self.zoom]
    }

    pub(super) fn set_zoom(&mut self, zoom: usize) {
        if zoom != self.zoom {
            self.zoom = zoom;
            // The place comes to the middle again in the next frame.
            self.last_place = None;
        }
    }

    /// The stretch to show: it moves only when the place comes near its ends.
    pub(super) fn span(&mut self, view: &ViewContext<'_>, length: i64) -> Span {
        let edge = length / 20;
        let near = Span::new(self.start + edge, self.start + length - edge).contains(view.place);
        if self.last_place.is_none() || (self.last_place != Some(view.place) && !near) {
            self.start = view.place - length * 2 / 5;
        }
        self.last_place = Some(view.place);
        self.start = self.start.min(view.snapshot.recording.samples - length).max(0);
        Span::new(self.start, self.start + length).overlap(view.snapshot.recording.whole())
    }

    pub(super) fn geometry(
        &mut self,
        view: &ViewContext<'_>,
        span: Span,
        options: StripOptions,
    ) -> Arc<StripGeom> {
        let day = DayKey::of(view.snapshot);
        match &self.geom {
            Some((d, o, s, geom)) if *d == day && *o == options && *s == span => geom.clone(),
            _ => {
                let geom = Arc::new(build(view.snapshot, span, &options));
                self.geom = Some((day, options, span, geom.clone()));
                geom
            }
        }
    }
}

impl LensState {
    pub(super) fn lay_paper(&mut self, view: &ViewContext<'_>, rect: Rect, scale: f32) -> Paper {
        let recording = &view.snapshot.recording;
        let mm_pt = MM_PT * ZOOMS[self.zoom];
        self.width_pt = rect.width();
        let tracing_mm = (rect.width() / mm_pt - PULSE_ROOM_MM).max(5.0);
        let length = (f64::from(tracing_mm / MM_PER_S) * recording.rate.hz()).ceil() as i64;
        let span = self.span(view, length.max(1));
        let paper_mm = rect.height() / mm_pt;
        let reach = self.reach_mm(view, StripOptions::default().mm_per_mv);
        let print = PrintHeights { name_mm: NAME_PT * scale / mm_pt, clock_mm: CLOCK_PT * scale / mm_pt };
        let leads = self.leads_that_fit(&reach, paper_mm, print);
        let shown: Vec<Reach> = leads.iter().filter_map(|l| reach.get(*l).copied()).collect();
        let baselines_mm = layout::baselines_mm(&shown, paper_mm, print);
        let options = StripOptions {
            leads,
            lead_height_mm: Some(ROOM_MM),
            thin_below_mm: 0.35 / mm_pt,
            ..StripOptions::default()
        };
        let geom = self.geometry(view, span, options);
        Paper { geom, rect, mm_pt, hz: recording.rate.hz(), baselines_mm }
    }

    pub(super) fn reach_mm(&mut self, view: &ViewContext<'_>, mm_per_mv: f32) -> Vec<Reach> {
        let day = DayKey::of(view.snapshot);
        match &self.reach {
            Some((d, reach)) if d.same_tracing(&day) => reach.clone(),
            _ => {
                let reach = layout::reach_mm(view.snapshot, mm_per_mv);
                self.reach = Some((day, reach.clone()));
                reach
            }
        }
    }

    /// As many leads as the paper has room for, at least one: all in their order, or from the lead of the day
    /// strip on.
    pub(super) fn leads_that_fit(&self, reach: &[Reach], paper_mm: f32, print: PrintHeights) -> Vec<usize> {
        let n = reach.len();
        if n == 0 || layout::how_many_fit(reach, paper_mm, print) == n {
            return (0..n).collect();
        }
        let order: Vec<usize> = (0..n).map(|i| (self.strip_lead + self.skipped + i) % n).collect();
        let turned: Vec<Reach> = order.iter().map(|l| reach[*l]).collect();
        let count = layout::how_many_fit(&turned, paper_mm, print).min(n - 1).max(1);
        order[..count].to_vec()
    }

    pub(super) fn paper_mesh(
        &mut self,
        view: &ViewContext<'_>,
        paper: &Paper,
        pixels_per_point: f32,
    ) -> Arc<Mesh> {
        let key = PaperKey::of(view, paper, pixels_per_point);
        match &self.paper {
            Some((k, mesh)) if *k == key => mesh.clone(),
            _ => {
                let mesh = Arc::new(paper::mesh(view, paper, pixels_per_point));
                self.paper = Some((key, mesh.clone()));
                mesh
            }
        }
    }
}
