//! Colours, sizes and fonts of the two themes. Class colours are the published Okabe-Ito set in the order
//! S, V, F, Q; nothing else on the screen uses them.

use beatledger_core::model::BeatClass;
use egui::Color32;

/// Colours of one theme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// True for the dark theme.
    pub dark: bool,
    /// Behind the tracing.
    pub paper: Color32,
    /// Behind panels.
    pub panel: Color32,
    /// Tracing, text, normal beats.
    pub ink: Color32,
    /// Secondary text, at least 4.5:1 on `paper` and `panel`.
    pub faint: Color32,
    /// 1 mm lines of the paper grid.
    pub grid_fine: Color32,
    /// 5 mm lines of the paper grid.
    pub grid_bold: Color32,
    /// Wash behind a selection.
    pub wash: Color32,
    /// Edge of a selection and focus ring, at least 3:1 on `paper`.
    pub edge: Color32,
    /// Hatching over unreadable time, at least 3:1 on `paper`.
    pub hatch: Color32,
    /// Wash behind night hours.
    pub night: Color32,
    class: [Color32; 5],
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Light paper. Okabe-Ito blue, vermillion, bluish green and reddish purple have at least 3:1 on it.
pub const LIGHT: Look = Look {
    dark: false,
    paper: rgb(0xFCFBF7),
    panel: rgb(0xF3F1EA),
    ink: rgb(0x1E2226),
    faint: rgb(0x5C6066),
    grid_fine: rgb(0xECE7DC),
    grid_bold: rgb(0xD8D0BF),
    wash: rgb(0xDCE6EE),
    edge: rgb(0x3C5A73),
    hatch: rgb(0x8A857A),
    night: rgb(0xE9E8EC),
    class: [rgb(0x1E2226), rgb(0x0072B2), rgb(0xD55E00), rgb(0x009E73), rgb(0xCC79A7)],
};

/// Dark paper. The same hues of the set in the same order.
pub const DARK: Look = Look {
    dark: true,
    paper: rgb(0x15181B),
    panel: rgb(0x1D2125),
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

impl Look {
    /// Colour of a beat class: ink for N.
    pub fn class(&self, class: BeatClass) -> Color32 {
        self.class[class.index()]
    }
}
