//! Colours, sizes and fonts of the two themes. Class colours are the published Okabe-Ito set in the order
//! S, V, F, Q; nothing else on the screen uses them.

use beatledger_core::model::BeatClass;
use egui::Color32;

/// Colours of one theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Theme {
    /// True for the dark theme.
    pub dark: bool,
    /// Behind the tracing.
    pub paper: Color32,
    /// Behind panels.
    pub panel: Color32,
    /// Behind buttons at rest.
    pub button: Color32,
    /// Tracing, text, normal beats.
    pub ink: Color32,
    /// Secondary text, at least 4.5:1 on `paper` and `panel`.
    pub faint: Color32,
    /// 1 mm lines of the paper grid.
    pub grid_fine: Color32,
    /// 5 mm lines of the paper grid.
    pub grid_bold: Color32,
    /// Fill behind a selection.
    pub wash: Color32,
    /// Edge of a selection and focus ring, at least 3:1 on `paper`.
    pub edge: Color32,
    /// Hatching over unreadable time, at least 3:1 on `paper`.
    pub hatch: Color32,
    /// Fill behind night hours.
    pub night: Color32,
    class: [Color32; 5],
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Light paper. Okabe-Ito blue, vermillion and bluish green have at least 3:1 on it; its reddish purple
/// (#CC79A7) has 2.7:1 on the panel, so that Q takes the same hue at 92 % of its brightness.
pub const LIGHT: Theme = Theme {
    dark: false,
    paper: rgb(0xFCFBF7),
    panel: rgb(0xF3F1EA),
    button: rgb(0xFBFAF6),
    ink: rgb(0x1E2226),
    faint: rgb(0x5C6066),
    grid_fine: rgb(0xECE7DC),
    grid_bold: rgb(0xD8D0BF),
    wash: rgb(0xDCE6EE),
    edge: rgb(0x3C5A73),
    hatch: rgb(0x8A857A),
    night: rgb(0xE9E8EC),
    class: [rgb(0x1E2226), rgb(0x0072B2), rgb(0xD55E00), rgb(0x009E73), rgb(0xBB6F99)],
};

/// Dark paper. The same hues of the set in the same order.
pub const DARK: Theme = Theme {
    dark: true,
    paper: rgb(0x15181B),
    panel: rgb(0x1D2125),
    button: rgb(0x262B30),
    ink: rgb(0xE6E3DB),
    faint: rgb(0xA3A6A8),
    grid_fine: rgb(0x22272B),
    grid_bold: rgb(0x31383E),
    wash: rgb(0x26343F),
    edge: rgb(0x8FB0C9),
    hatch: rgb(0x8D8A82),
    night: rgb(0x1A1C26),
    class: [rgb(0xE6E3DB), rgb(0x56B4E9), rgb(0xE69F00), rgb(0x009E73), rgb(0xCC79A7)],
};

impl Theme {
    /// Colour of a beat class: ink for N.
    pub fn class(&self, class: BeatClass) -> Color32 {
        self.class[class.index()]
    }
}

/// Text sizes at 100 %, points.
const SIZES: [(egui::TextStyle, f32); 5] = [
    (egui::TextStyle::Small, 11.5),
    (egui::TextStyle::Body, 13.5),
    (egui::TextStyle::Button, 13.5),
    (egui::TextStyle::Monospace, 13.5),
    (egui::TextStyle::Heading, 16.5),
];

/// Sets text sizes to `scale` times the usual ones.
pub fn set_text_scale(ctx: &egui::Context, scale: f32) {
    ctx.all_styles_mut(|style| {
        for (name, size) in SIZES {
            let family = match name {
                egui::TextStyle::Heading => egui::FontFamily::Name(crate::paint::fonts::BOLD_FAMILY.into()),
                _ => egui::FontFamily::Proportional,
            };
            style.text_styles.insert(name, egui::FontId::new(size * scale, family));
        }
        style.spacing.interact_size.y = 24.0 * scale;
    });
}

/// Gives both themes of `ctx` their colours, and sets the spacing of widgets.
pub fn install(ctx: &egui::Context) {
    ctx.set_visuals_of(egui::Theme::Light, visuals(&LIGHT));
    ctx.set_visuals_of(egui::Theme::Dark, visuals(&DARK));
    set_text_scale(ctx, 1.0);
    ctx.all_styles_mut(|style| {
        style.spacing.item_spacing = egui::vec2(8.0, 5.0);
        style.spacing.button_padding = egui::vec2(7.0, 3.0);
        style.animation_time = 0.1;
        style.url_in_tooltip = false;
        style.interaction.tooltip_delay = 0.4;
    });
}

/// Colours of egui's own widgets in a theme.
pub fn visuals(theme: &Theme) -> egui::Visuals {
    use egui::{CornerRadius, Stroke, style::WidgetVisuals};
    let mut visuals = if theme.dark { egui::Visuals::dark() } else { egui::Visuals::light() };
    let widget = |fill: Color32, line: Color32, width: f32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(width, line),
        corner_radius: CornerRadius::same(3),
        fg_stroke: Stroke::new(1.0, theme.ink),
        expansion: 0.0,
    };
    visuals.widgets.noninteractive = widget(theme.panel, theme.grid_bold, 1.0);
    visuals.widgets.inactive = widget(theme.button, theme.grid_bold, 1.0);
    visuals.widgets.hovered = widget(theme.wash, theme.edge, 1.0);
    visuals.widgets.active = widget(theme.wash, theme.edge, 2.0);
    visuals.widgets.open = widget(theme.wash, theme.edge, 1.0);
    visuals.selection.bg_fill = theme.wash;
    visuals.selection.stroke = Stroke::new(1.5, theme.ink);
    visuals.hyperlink_color = theme.edge;
    visuals.faint_bg_color = theme.panel;
    visuals.extreme_bg_color = theme.paper;
    visuals.text_edit_bg_color = Some(theme.paper);
    visuals.code_bg_color = theme.panel;
    visuals.warn_fg_color = theme.ink;
    visuals.error_fg_color = theme.ink;
    visuals.weak_text_color = Some(theme.faint);
    visuals.panel_fill = theme.panel;
    visuals.window_fill = theme.panel;
    visuals.window_stroke = Stroke::new(1.0, theme.grid_bold);
    visuals.window_corner_radius = CornerRadius::same(4);
    visuals.menu_corner_radius = CornerRadius::same(4);
    visuals.text_cursor.blink = false;
    visuals.striped = false;
    visuals
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance by WCAG 2.1, from sRGB.
    fn luminance(color: Color32) -> f64 {
        let linear = |byte: u8| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(color.r()) + 0.7152 * linear(color.g()) + 0.0722 * linear(color.b())
    }

    /// Contrast ratio by WCAG 2.1, 1 to 21.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn at_least(ratio: f64, pairs: &[(&str, Color32, Color32)]) {
        for (name, front, back) in pairs {
            let found = contrast(*front, *back);
            assert!(found >= ratio, "{name}: {found:.2}:1, wanted {ratio}:1");
        }
    }

    #[test]
    fn the_contrast_formula_gives_the_published_extremes() {
        // WCAG 2.1: black on white is 21:1; #777777 on white is 4.48:1, the well-known near miss.
        assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
        assert!((contrast(rgb(0x777777), Color32::WHITE) - 4.48).abs() < 0.01);
    }

    #[test]
    fn text_has_at_least_4_5_to_1_in_both_themes() {
        for theme in [&LIGHT, &DARK] {
            for (where_, back) in [
                ("paper", theme.paper),
                ("panel", theme.panel),
                ("button", theme.button),
                ("wash", theme.wash),
                ("night", theme.night),
            ] {
                at_least(4.5, &[(&format!("ink on {where_}, dark {}", theme.dark), theme.ink, back)]);
            }
            at_least(
                4.5,
                &[
                    ("faint on paper", theme.faint, theme.paper),
                    ("faint on panel", theme.faint, theme.panel),
                    ("faint on button", theme.faint, theme.button),
                    ("faint on wash", theme.faint, theme.wash),
                ],
            );
        }
    }

    #[test]
    fn marks_have_at_least_3_to_1_in_both_themes() {
        for theme in [&LIGHT, &DARK] {
            for class in BeatClass::ALL {
                for (where_, back) in [("paper", theme.paper), ("panel", theme.panel)] {
                    let name = format!("{} on {where_}, dark {}", class.letter(), theme.dark);
                    at_least(3.0, &[(&name, theme.class(class), back)]);
                }
            }
            at_least(
                3.0,
                &[
                    ("edge on paper", theme.edge, theme.paper),
                    ("edge on panel", theme.edge, theme.panel),
                    ("edge on wash", theme.edge, theme.wash),
                    ("hatch on paper", theme.hatch, theme.paper),
                ],
            );
        }
    }
}
