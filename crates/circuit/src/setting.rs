//! What surrounds a circuit: the job's assumptions, its devices and their profiles.

use std::collections::BTreeMap;

use job::{Device, Feeding, Job};
use library::{ContactProfile, DetectorProfile, Kind, Library};
use network::Role;

/// A job and a library, with their devices ready to be looked up by name.
pub struct Setting<'a> {
    /// The job.
    pub job: &'a Job,
    /// The library.
    pub library: &'a Library,
    /// Devices written `C01/door`, by tag and name.
    of_circuit: BTreeMap<(&'a str, &'a str), &'a Device>,
    /// Devices written by name alone.
    anywhere: BTreeMap<&'a str, &'a Device>,
    /// Which supply point hangs on which.
    pub feeding: Feeding<'a>,
}

impl<'a> Setting<'a> {
    /// Makes the job's devices ready to be looked up.
    #[must_use]
    pub fn new(job: &'a Job, library: &'a Library) -> Self {
        let mut of_circuit = BTreeMap::new();
        let mut anywhere = BTreeMap::new();
        for device in &job.devices {
            match device.id.split_once('/') {
                Some(tag_and_name) => {
                    of_circuit.insert(tag_and_name, device);
                }
                None => {
                    anywhere.insert(device.id.as_str(), device);
                }
            }
        }
        Self { job, library, of_circuit, anywhere, feeding: Feeding::new(job) }
    }

    /// The device that a circuit's network calls `name`, where the job describes it.
    #[must_use]
    pub fn device(&self, tag: &str, name: &str) -> Option<&'a Device> {
        if !self.of_circuit.is_empty()
            && let Some(device) = self.of_circuit.get(&(tag, name))
        {
            return Some(device);
        }
        self.anywhere.get(name).copied()
    }

    /// The detector profile of a device, where the job names one.
    #[must_use]
    pub fn detector(&self, tag: &str, name: &str) -> Option<&'a DetectorProfile> {
        let profile = self.device(tag, name)?.profile.as_ref()?;
        match &self.library.profiles.get(profile.as_str())?.kind {
            Kind::Detector(detector) => Some(detector),
            _ => None,
        }
    }

    /// The profile of one contact of a device.
    #[must_use]
    pub fn contact(&self, tag: &str, name: &str, role: Role) -> Option<&'a ContactProfile> {
        self.detector(tag, name)?.contacts.iter().find(|contact| contact.role == role)
    }

    /// Minutes to reach and work on a device, beyond the work itself.
    #[must_use]
    pub fn access_minutes(&self, tag: &str, name: &str) -> f64 {
        self.device(tag, name).and_then(|device| device.minutes).map_or(0.0, |minutes| minutes.0)
    }
}
