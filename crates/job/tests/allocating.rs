//! What people ask of the allocation: read, defaulted, refused.

mod common;

use common::{expect, good};
use job::AllocateTerms;
use quantity::{Metres, Minutes, Money, Ratio};

#[test]
fn a_job_that_says_nothing_has_the_defaults() {
    let job = good("format = 1\n[[enclosure]]\nid = \"E1\"\n");
    assert_eq!(job.allocate, AllocateTerms::default());
    assert!(job.allocate.new_modules && job.allocate.keep_numbers && job.allocate.areas_together);
    assert_eq!((job.allocate.annexes, job.allocate.spare), (1, 0));
    assert_eq!((job.enclosures[0].spare, job.extensions.len()), (0, 0));
}

#[test]
fn field_by_field() {
    let job = good(
        "format = 1\n[allocate]\noffer = [\"input-8\"]\nnew_modules = false\nspare = 4\nhour = 85.5\nmoney = \"50 %\"\nannex = \"enclosure-small\"\nannexes = 0\nkeep_numbers = false\nareas_together = false\n[[enclosure]]\nid = \"E1\"\nspare = 2\n[[enclosure]]\nid = \"E2\"\nbeside = \"E1\"\n[[enclosure]]\nid = \"E3\"\n[[extension]]\nfrom = \"E3\"\nto = \"E1\"\nlength = \"25 m\"\nminutes = 40\n",
    );
    let terms = &job.allocate;
    assert_eq!(terms.offer.as_ref().map(|offer| offer[0].as_str()), Some("input-8"));
    assert_eq!((terms.new_modules, terms.spare, terms.annexes), (false, 4, 0));
    assert_eq!((terms.hour, terms.money), (Some(Money::of_hundredths(8550)), Ratio(0.5)));
    assert_eq!(terms.annex.as_ref().map(|annex| annex.as_str()), Some("enclosure-small"));
    assert!(!terms.keep_numbers && !terms.areas_together);
    assert_eq!(
        (job.enclosures[0].spare, job.enclosures[1].beside.as_ref().map(|id| id.as_str())),
        (2, Some("E1"))
    );
    let way = &job.extensions[0];
    assert_eq!((way.from.as_str(), way.to.as_str()), ("E3", "E1"));
    assert_eq!((way.length, way.minutes), (Metres(25.0), Some(Minutes(40.0))));
}

#[test]
fn every_error() {
    expect(
        r#"
format = 1
[allocate]
spare = -1
        ^out of range | 0 to 10000
money = "33.5 %"
        ^a share of a percent | whole percent
modules = 3
^unknown key `modules` in allocate | offer
[[enclosure]]
id = "E1"
beside = "E1"
         ^`E1` hangs beside `E1`, which hangs beside another | the enclosure in which the cables end
[[enclosure]]
id = "E2"
beside = "E9"
         ^no enclosure `E9` | E1
[[extension]]
from = "E1"
to = "E1"
     ^is none, or stands here twice | each way once
length = "25 m"
[[extension]]
^extension has no `from` | from
to = "E7"
length = "0 m"
          ^out of range | 0.1 m
"#,
    );
}
