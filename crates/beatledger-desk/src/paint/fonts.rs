//! The fonts that come with the program: one for text, one with the symbols that the first lacks.

use std::sync::Arc;

use egui::{Context, FontData, FontDefinitions, FontFamily, RichText, TextStyle, Ui};

/// Regular text.
pub const REGULAR: &[u8] = include_bytes!("../../../../assets/fonts/NotoSans-Regular.ttf");
/// Bold text.
pub const BOLD: &[u8] = include_bytes!("../../../../assets/fonts/NotoSans-Bold.ttf");
/// Symbols that the text font lacks.
pub const SYMBOLS: &[u8] = include_bytes!("../../../../assets/fonts/DejaVuSans.ttf");

/// Name of the bold family.
pub const BOLD_FAMILY: &str = "bold";

/// Makes `ctx` use the fonts.
pub fn install(ctx: &Context) {
    let mut fonts = FontDefinitions::default();
    for (name, bytes) in [("text", REGULAR), ("bold", BOLD), ("symbols", SYMBOLS)] {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    for (family, first) in [
        (FontFamily::Proportional, "text"),
        (FontFamily::Monospace, "text"),
        (FontFamily::Name(BOLD_FAMILY.into()), "bold"),
    ] {
        let list = fonts.families.entry(family).or_default();
        list.insert(0, first.to_owned());
        list.insert(1, "symbols".to_owned());
    }
    ctx.set_fonts(fonts);
}

/// The bold font at `size`.
pub fn bold(size: f32) -> egui::FontId {
    egui::FontId::new(size, FontFamily::Name(BOLD_FAMILY.into()))
}

/// Bold text of the usual size.
pub fn bold_text(ui: &Ui, text: impl Into<String>) -> RichText {
    RichText::new(text).font(bold(TextStyle::Body.resolve(ui.style()).size))
}
