//! What cargo knows of the workspace, read from `cargo metadata`.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// Prefix of our crates' package names; the rest is the name that they have in the tables.
const OURS: &str = "loopwright-";

/// The packages of the workspace and everything that they depend on, for this machine's platform.
#[derive(Debug)]
pub struct Workspace {
    /// By cargo's id.
    pub packages: BTreeMap<String, Package>,
}

/// One package.
#[derive(Debug)]
pub struct Package {
    /// Its name; ours without the prefix.
    pub name: String,
    /// Whether it is a member of this workspace.
    pub ours: bool,
    /// Its licence expression; empty when it names none.
    pub licence: String,
    /// What it depends on, as ids, each with the kinds (`normal`, `dev`, `build`).
    pub needs: Vec<(String, Vec<String>)>,
    /// Names by which its code may call what its `Cargo.toml` lists.
    pub listed: Vec<String>,
}

impl Workspace {
    /// Asks cargo. Nothing is fetched: whoever runs these tests has built the workspace.
    ///
    /// # Panics
    /// When cargo cannot be run, or says what it never says.
    #[must_use]
    pub fn read(root: &Path) -> Self {
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let host = host(root);
        let output = Command::new(cargo)
            .args(["metadata", "--format-version", "1", "--offline", "--filter-platform", &host])
            .current_dir(root)
            .output()
            .expect("cargo runs these tests, so it can be run");
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "cargo metadata: {told}");
        let json: Value = serde_json::from_slice(&output.stdout).expect("cargo prints JSON");
        Self::from_json(&json)
    }

    /// The same from what cargo printed.
    #[must_use]
    pub fn from_json(json: &Value) -> Self {
        let members: Vec<&str> = list(&json["workspace_members"]).filter_map(Value::as_str).collect();
        let mut packages = BTreeMap::new();
        for package in list(&json["packages"]) {
            let id = text(&package["id"]);
            let ours = members.contains(&id.as_str());
            let name = text(&package["name"]);
            let name = if ours { name.strip_prefix(OURS).unwrap_or(&name).to_owned() } else { name };
            let licence = text(&package["license"]);
            let listed = list(&package["dependencies"]).map(|dependency| {
                let name = dependency["rename"].as_str().or(dependency["name"].as_str());
                name.unwrap_or_default().replace('-', "_")
            });
            let listed = listed.collect();
            packages.insert(id, Package { name, ours, licence, needs: Vec::new(), listed });
        }
        for node in list(&json["resolve"]["nodes"]) {
            let Some(package) = packages.get_mut(&text(&node["id"])) else { continue };
            package.needs = list(&node["deps"])
                .map(|dependency| {
                    let kinds = list(&dependency["dep_kinds"]);
                    let kinds = kinds.map(|kind| kind["kind"].as_str().unwrap_or("normal").to_owned());
                    (text(&dependency["pkg"]), kinds.collect())
                })
                .collect();
        }
        Self { packages }
    }

    /// Our crates.
    pub fn ours(&self) -> impl Iterator<Item = &Package> {
        self.packages.values().filter(|package| package.ours)
    }
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

/// The platform that the compiler builds for, as it names it.
fn host(root: &Path) -> String {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let output = Command::new(rustc).arg("-vV").current_dir(root).output().expect("rustc is beside cargo");
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    let host = told.lines().find_map(|line| line.strip_prefix("host: "));
    host.expect("rustc -vV names its host").to_owned()
}
