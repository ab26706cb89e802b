//! The morphology grid: beats grouped by shape and timing, each cell the overlaid members with their mean.
//!
//! Cells stand in the order V, F, S, Q, N of the class that was found, the larger group first, so that what
//! needs a reader comes first and no cell jumps when it is relabelled. Groups of one or two beats come last:
//! there are many of them and each says little.

mod cell;
mod members;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::sync::Arc;

use beatledger_core::model::{Found, Group};
use egui::{Align2, EventFilter, Key, Modifiers, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

use crate::app::act::Act;
use crate::paint::canvas::KeptPicture;
use crate::paint::headline::{font, text_scale};
use crate::paint::picture_keys::{DayKey, SelectionKey};
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::chosen;
use cell::CellKey;
use members::{BeatsByGroup, Traces};

/// Least width of a cell at 100 % text size, points.
const CELL_WIDTH_PT: f32 = 230.0;
/// Height of a cell at 100 % text size, points.
const CELL_HEIGHT_PT: f32 = 160.0;
/// Room between cells, points.
const GAP_PT: f32 = 8.0;
/// Cells whose members are read in one frame, so that no frame takes long.
const CELLS_A_FRAME: usize = 2;

/// What the grid keeps between frames: pictures, waveforms as drawn and the cell with the keyboard; no facts.
#[derive(Default)]
pub struct GridState {
    cursor: Option<usize>,
    moved: bool,
    found: Option<Arc<Found>>,
    day: Option<DayKey>,
    index: BeatsByGroup,
    selected: Option<(SelectionKey, Vec<u32>)>,
    traces: BTreeMap<usize, Arc<Traces>>,
    kept_pictures: BTreeMap<usize, KeptPicture<CellKey>>,
}

impl GridState {
    /// The group with the keyboard, as an index into the found groups.
    pub fn cursor(&self) -> Option<usize> {
        self.cursor
    }

    /// Moves the keyboard by `by` cells in reading order and asks for the members of the cell reached.
    pub fn step(&mut self, view: &mut ViewContext<'_>, by: i64) {
        self.refresh(view);
        let at = self.cursor.and_then(|group| self.index.order.iter().position(|g| *g == group));
        let last = self.index.order.len() as i64 - 1;
        let to = at.map_or(0, |at| (at as i64 + by).clamp(0, last.max(0)));
        if let Some(group) = self.index.order.get(to as usize).copied() {
            self.cursor = Some(group);
            self.moved = true;
            self.select(view, group, false);
        }
    }

    /// Brings index and selected counts up to date; throws waveforms away when the tracing changed.
    fn refresh(&mut self, view: &ViewContext<'_>) {
        let (day, found) = (DayKey::of(view.snapshot), &view.snapshot.found);
        let same_found = self.found.as_ref().is_some_and(|f| Arc::ptr_eq(f, found));
        if !same_found || self.day.as_ref().is_none_or(|d| !d.same_tracing(&day)) {
            self.traces.clear();
            self.kept_pictures.clear();
            self.day = None;
            self.found = Some(found.clone());
        }
        if self.day.as_ref() != Some(&day) {
            self.index = BeatsByGroup::of(view.snapshot);
            self.day = Some(day);
            self.selected = None;
        }
        let key = SelectionKey::of(view.selection);
        if self.selected.as_ref().is_none_or(|(k, _)| *k != key) {
            let counts = self.index.selected(&view.snapshot.beats, &view.selection.beats);
            self.selected = Some((key, counts));
        }
    }

    fn select(&self, view: &mut ViewContext<'_>, group: usize, add: bool) {
        let Some(members) = self.index.members.get(group) else { return };
        let words = format!("group {}", group + 1);
        let selection = chosen(view.selection, add, members.to_vec(), None, words);
        view.acts.push(Act::Select { selection, go: true });
    }
}

/// Draws the grid in the available space.
pub fn morphology_grid(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut GridState) {
    state.refresh(view);
    let scale = text_scale(ui.ctx());
    if state.index.order.is_empty() {
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
        let words =
            "Beats are shown here in groups of the same shape and timing. No group was found in this day.";
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
        ui.painter().text(
            rect.center(),
            Align2::CENTER_CENTER,
            words,
            font(ui.painter(), 14.0),
            view.theme.faint,
        );
        return;
    }
    head(ui, view, state);
    let area = ScrollArea::vertical().auto_shrink([false, false]).id_salt("morphology grid");
    first_key(ui, view, state);
    area.show(ui, |ui| cells(ui, view, state, scale));
}

/// While nothing has the keyboard the first arrow goes to the cell that was reached last, or the first one.
fn first_key(ui: &Ui, view: &mut ViewContext<'_>, state: &mut GridState) {
    let taken = ui.memory(|m| m.focused().is_some() || m.top_modal_layer().is_some());
    let arrows = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown];
    if !taken && arrows.iter().any(|key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, *key))) {
        state.step(view, 0);
    }
}

fn head(ui: &mut Ui, view: &ViewContext<'_>, state: &GridState) {
    let alone = state.index.alone;
    let mut words = format!(
        "{} groups · V, F, S, Q, N, larger first, one or two beats last · thin: members, bold: mean · {:.0} ms before to {:.0} ms after the beat · one scale for all",
        state.index.order.len(),
        Group::BEFORE_MS,
        Group::AFTER_MS,
    );
    if alone > 0 {
        words += &format!(" · {alone} beats placed by a reader belong to no group");
    }
    let text = egui::RichText::new(words).color(view.theme.faint).small();
    ui.add(egui::Label::new(text).wrap());
}

fn cells(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut GridState, scale: f32) {
    let width = ui.available_width() - GAP_PT;
    let columns = (width / (CELL_WIDTH_PT * scale + GAP_PT)).floor().max(1.0) as usize;
    let size = vec2((width - GAP_PT * columns as f32) / columns as f32, CELL_HEIGHT_PT * scale);
    let rows = state.index.order.len().div_ceil(columns);
    let total = vec2(width, rows as f32 * (size.y + GAP_PT) + GAP_PT);
    let (all, _) = ui.allocate_exact_size(total, Sense::hover());
    let order = state.index.order.clone();
    let mut reads_left = CELLS_A_FRAME;
    let mut waiting = false;
    for (at, group) in order.iter().copied().enumerate() {
        let step = (size + vec2(GAP_PT, GAP_PT)) * vec2((at % columns) as f32, (at / columns) as f32);
        let rect = Rect::from_min_size(all.min + vec2(GAP_PT, GAP_PT * 0.5) + step, size);
        let here = state.cursor == Some(group);
        if here && state.moved {
            ui.scroll_to_rect_animation(rect.expand(GAP_PT), None, egui::style::ScrollAnimation::none());
        }
        if !(ui.clip_rect().intersects(rect) || here) {
            continue;
        }
        if !state.traces.contains_key(&group) {
            if reads_left == 0 {
                waiting = true;
            } else {
                reads_left -= 1;
                state
                    .traces
                    .insert(group, Arc::new(Traces::read(view.snapshot, &state.index.members[group])));
            }
        }
        one_cell(ui, view, state, CellPlace { group, at, columns, rect });
    }
    state.moved = false;
    if waiting {
        ui.ctx().request_repaint();
    }
}

/// Where a cell stands.
struct CellPlace {
    group: usize,
    at: usize,
    columns: usize,
    rect: Rect,
}

fn one_cell(ui: &Ui, view: &mut ViewContext<'_>, state: &mut GridState, place: CellPlace) {
    let group = place.group;
    let id = cell_id(ui, group);
    let response = ui.interact(place.rect, id, Sense::click());
    if state.moved && state.cursor == Some(group) {
        response.request_focus();
    }
    let counts = state.index.counts[group];
    let selected = state.selected.as_ref().map_or(0, |(_, n)| n[group]);
    let facts = cell::CellFacts::of(view.snapshot, group, counts, selected, state.index.changed[group]);
    let words = facts.words();
    let all_selected = selected > 0 && selected == facts.total();
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, all_selected, &words));
    let painter = ui.painter_at(place.rect);
    let traces = state.traces.get(&group).cloned();
    let kept = state.kept_pictures.entry(group).or_default();
    cell::draw(&painter, view, place.rect, &facts, traces, kept, state.index.range_mv);
    cell::edge(&painter, view.theme, place.rect, &response, selected > 0);
    if response.clicked() {
        state.cursor = Some(group);
        response.request_focus();
        state.select(view, group, ui.input(|i| i.modifiers.shift));
    }
    if response.has_focus() {
        keys(ui, view, state, &place, id);
    }
    response.on_hover_text(words);
}

fn cell_id(ui: &Ui, group: usize) -> egui::Id {
    ui.scope_id().with(("grid cell", group))
}

/// Arrows move between cells and select what they reach.
fn keys(ui: &Ui, view: &mut ViewContext<'_>, state: &mut GridState, place: &CellPlace, id: egui::Id) {
    let filter = EventFilter { tab: false, horizontal_arrows: true, vertical_arrows: true, escape: false };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    state.cursor = Some(place.group);
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let (columns, last) = (place.columns as i64, state.index.order.len() as i64 - 1);
    let mut by = 0;
    for (key, step) in
        [(Key::ArrowLeft, -1), (Key::ArrowRight, 1), (Key::ArrowUp, -columns), (Key::ArrowDown, columns)]
    {
        if pressed(key) && (0..=last).contains(&(place.at as i64 + by + step)) {
            by += step;
        }
    }
    if pressed(Key::Home) {
        by = -(place.at as i64);
    }
    if pressed(Key::End) {
        by = last - place.at as i64;
    }
    if by != 0 {
        state.step(view, by);
        if let Some(group) = state.cursor {
            ui.memory_mut(|m| m.request_focus(cell_id(ui, group)));
        }
        ui.ctx().request_repaint();
    }
}
