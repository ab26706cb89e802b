//! Who was recorded, who signed, and with what.

use beatledger_core::model::Identity;

use super::codes::words;
use super::time::birth_date;
use super::types::{
    Annotation, Device, DeviceName, DeviceVersion, HumanName, Identifier, Patient, Practitioner,
    Qualification,
};
use crate::document::SignOff;

/// The patient exactly as far as the recording says. A date or sex that cannot be told for sure is left out.
pub fn patient(identity: &Identity) -> Patient {
    let text = |t: &str| Some(t.trim().to_owned()).filter(|t| !t.is_empty());
    Patient {
        identifier: text(&identity.code)
            .map(|value| Identifier { system: None, value })
            .into_iter()
            .collect(),
        name: text(&identity.name).map(|text| HumanName { text }).into_iter().collect(),
        gender: gender(&identity.sex),
        birth_date: birth_date(&identity.born),
    }
}

fn gender(sex: &str) -> Option<&'static str> {
    match sex.trim().to_lowercase().as_str() {
        "m" | "male" => Some("male"),
        "f" | "female" => Some("female"),
        "o" | "other" => Some("other"),
        _ => None,
    }
}

/// Who signed, in which role.
pub fn practitioner(sign: &SignOff) -> Practitioner {
    Practitioner {
        name: vec![HumanName { text: sign.reader.clone() }],
        qualification: vec![Qualification { code: words(&sign.role) }],
    }
}

/// The program: `name version`.
pub fn software(program: &str) -> Device {
    let (name, version) = program.rsplit_once(' ').unwrap_or((program, ""));
    Device {
        device_name: vec![DeviceName { name: name.to_owned(), r#type: "user-friendly-name" }],
        r#type: words("Software that analyses ambulatory ECG"),
        version: (!version.is_empty())
            .then(|| DeviceVersion { value: version.to_owned() })
            .into_iter()
            .collect(),
        note: vec![Annotation {
            text: "Research and education software, not a cleared medical device.".to_owned(),
        }],
    }
}

/// The recorder, as the file names it.
pub fn recorder(identity: &Identity) -> Option<Device> {
    let name = identity.recorder.trim();
    (!name.is_empty()).then(|| Device {
        device_name: vec![DeviceName { name: name.to_owned(), r#type: "other" }],
        r#type: words("Ambulatory ECG recorder"),
        version: Vec::new(),
        note: Vec::new(),
    })
}
