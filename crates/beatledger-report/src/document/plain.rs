//! The report as plain text: every word of it, for tests and terminals.

use super::tree::{Block, Report, Table};

impl Report {
    /// All text of the report, a block at a time.
    pub fn to_text(&self) -> String {
        let mut lines = vec![self.title.clone(), self.foot.clone()];
        for section in &self.sections {
            lines.push(format!("\n== {} ==", section.heading));
            for block in &section.blocks {
                block_lines(block, &mut lines);
            }
        }
        lines.push(String::new());
        lines.join("\n")
    }
}

fn block_lines(block: &Block, lines: &mut Vec<String>) {
    match block {
        Block::Title { over, text } => lines.extend([over.clone(), format!("# {text}")]),
        Block::Subheading(text) => lines.push(format!("-- {text} --")),
        Block::Paragraph(_, text) => lines.push(text.clone()),
        Block::State { text, detail, .. } => lines.push(format!("[{text}] {detail}")),
        Block::Pairs(pairs) => lines.extend(pairs.iter().map(|(k, v)| format!("{k}: {v}"))),
        Block::KeyFigures(figures) => lines.extend(figures.iter().map(|f| {
            let unit = if f.unit.is_empty() { String::new() } else { format!(" {}", f.unit) };
            format!("{}: {}{unit} ({})", f.name, f.value, f.note)
        })),
        Block::Table(table) => table_lines(table, lines),
        Block::Trend(chart) => lines.push(chart.words.clone()),
        Block::St(chart) => lines.extend(chart.leads.iter().map(|lead| lead.words.clone())),
        Block::Strip(strip) => {
            lines.push(format!("{} ({})", strip.title, strip.note));
            lines.extend(strip.lines.iter().map(|l| format!("  {}", l.caption)));
        }
    }
}

fn table_lines(table: &Table, lines: &mut Vec<String>) {
    let titles: Vec<&str> = table.columns.iter().map(|c| c.title.as_str()).collect();
    lines.push(titles.join(" | "));
    lines.extend(table.rows.iter().map(|r| r.cells.join(" | ")));
}
