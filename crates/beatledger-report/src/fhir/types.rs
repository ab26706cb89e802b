//! The elements of FHIR R4 4.0.1 that an export needs, in the order of the standard. Names are those of the
//! standard; an element that is empty is left out, as the standard allows neither `null` nor empty lists.

#![allow(missing_docs, reason = "the standard describes each element: hl7.org/fhir/R4")]

use serde::Serialize;
use serde_json::value::RawValue;

/// A number with exactly the decimals that it was given: FHIR takes decimals as precision.
#[derive(Clone, Debug, Serialize)]
pub struct Decimal(Box<RawValue>);

impl Decimal {
    /// `x` with `decimals` digits behind the point; `None` when it is not finite.
    pub fn new(x: f64, decimals: u8) -> Option<Self> {
        let text = x.is_finite().then(|| format!("{x:.*}", usize::from(decimals)))?;
        RawValue::from_string(text).ok().map(Self)
    }
}

#[derive(Clone, Debug, Serialize)]
pub struct Coding {
    pub system: String,
    pub code: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub display: Option<String>,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct CodeableConcept {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub coding: Vec<Coding>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct Identifier {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub system: Option<String>,
    pub value: String,
}

#[derive(Clone, Debug, Default, Serialize)]
pub struct Reference {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub identifier: Option<Identifier>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub display: Option<String>,
}

impl Reference {
    /// To an entry of the same bundle.
    pub fn to(url: &str) -> Self {
        Self { reference: Some(url.to_owned()), ..Self::default() }
    }
}

#[derive(Clone, Debug, Serialize)]
pub struct Period {
    pub start: String,
    pub end: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Quantity {
    pub value: Decimal,
    pub unit: String,
    pub system: String,
    pub code: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Annotation {
    pub text: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct HumanName {
    pub text: String,
}

#[derive(Clone, Debug, Default, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Patient {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub identifier: Vec<Identifier>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub name: Vec<HumanName>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gender: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub birth_date: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Qualification {
    pub code: CodeableConcept,
}

#[derive(Clone, Debug, Serialize)]
pub struct Practitioner {
    pub name: Vec<HumanName>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub qualification: Vec<Qualification>,
}

#[derive(Clone, Debug, Serialize)]
pub struct DeviceName {
    pub name: String,
    pub r#type: &'static str,
}

#[derive(Clone, Debug, Serialize)]
pub struct DeviceVersion {
    pub value: String,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Device {
    pub device_name: Vec<DeviceName>,
    pub r#type: CodeableConcept,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub version: Vec<DeviceVersion>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub note: Vec<Annotation>,
}

/// The one value of a component.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
#[allow(clippy::enum_variant_names, reason = "the names are the elements of the standard")]
pub enum Value {
    ValueQuantity(Quantity),
    ValueString(String),
    ValueTime(String),
}

#[derive(Clone, Debug, Serialize)]
pub struct Component {
    pub code: CodeableConcept,
    #[serde(flatten)]
    pub value: Value,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Observation {
    pub status: &'static str,
    pub category: Vec<CodeableConcept>,
    pub code: CodeableConcept,
    pub subject: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub effective_period: Option<Period>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub performer: Vec<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_quantity: Option<Quantity>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data_absent_reason: Option<CodeableConcept>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub note: Vec<Annotation>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub method: Option<CodeableConcept>,
    pub device: Reference,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub component: Vec<Component>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Attachment {
    pub content_type: &'static str,
    pub language: &'static str,
    pub data: String,
    pub size: u64,
    pub hash: String,
    pub title: String,
    pub creation: String,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct DiagnosticReport {
    pub status: &'static str,
    pub category: Vec<CodeableConcept>,
    pub code: CodeableConcept,
    pub subject: Reference,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub effective_period: Option<Period>,
    pub issued: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub performer: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub results_interpreter: Vec<Reference>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub result: Vec<Reference>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conclusion: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub presented_form: Vec<Attachment>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Agent {
    pub r#type: CodeableConcept,
    pub who: Reference,
}

#[derive(Clone, Debug, Serialize)]
pub struct Entity {
    pub role: &'static str,
    pub what: Reference,
}

#[derive(Clone, Debug, Serialize)]
pub struct Provenance {
    pub target: Vec<Reference>,
    pub recorded: String,
    pub agent: Vec<Agent>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub entity: Vec<Entity>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Concept {
    pub code: String,
    pub display: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub definition: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct CodeSystem {
    pub url: &'static str,
    pub version: String,
    pub name: &'static str,
    pub title: &'static str,
    pub status: &'static str,
    pub description: &'static str,
    pub content: &'static str,
    pub concept: Vec<Concept>,
}

#[derive(Clone, Debug, Serialize)]
#[serde(tag = "resourceType")]
pub enum Resource {
    CodeSystem(Box<CodeSystem>),
    Patient(Patient),
    Practitioner(Practitioner),
    Device(Device),
    Observation(Box<Observation>),
    DiagnosticReport(Box<DiagnosticReport>),
    Provenance(Box<Provenance>),
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct BundleEntry {
    pub full_url: String,
    pub resource: Resource,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Bundle {
    pub resource_type: &'static str,
    pub identifier: Identifier,
    pub r#type: &'static str,
    pub timestamp: String,
    pub entry: Vec<BundleEntry>,
}
