//! Atrial fibrillation from irregular RR intervals and the absence of P waves.

use super::columns::Columns;
use crate::model::Event;

/// Finds atrial fibrillation.
pub fn fibrillation(_columns: &Columns<'_>) -> Vec<Event> {
    Vec::new()
}
