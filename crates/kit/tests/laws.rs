//! Laws of every kit and every bill.

use kit::{Bill, Count, Group, Item, Kit, Need, Price, Rates, Spare, Stock, Terms, Time, Unit};
use proptest::prelude::*;
use quantity::{Money, Ratio};

fn item() -> impl Strategy<Value = Item> {
    (0..7_usize, 0..4_u8, 0..3_u8).prop_map(|(group, part, value)| Item {
        group: Group::ALL[group],
        part: format!("part-{part}"),
        value: format!("v{value}"),
        what: "x".to_owned(),
        unit: Unit::Piece,
    })
}

fn needs() -> impl Strategy<Value = Vec<Need>> {
    let one = (item(), 0..20_u32, 0..20_u32, 0..9_u8).prop_map(|(item, one, other, place)| Need {
        item,
        count: Count::between(one, other),
        place: format!("C{place}"),
        why: "x".to_owned(),
    });
    prop::collection::vec(one, 0..40)
}

fn stock() -> impl Strategy<Value = Vec<Stock>> {
    let one = (0..5_u8, 0..4_u8, prop::option::weighted(0.9, 0..30_u32)).prop_map(|(part, value, count)| {
        Stock { part: format!("part-{part}"), value: format!("v{value}"), count }
    });
    prop::collection::vec(one, 0..8)
}

fn terms(item: &Item) -> Terms {
    let cents = i64::try_from(item.part.len() * item.value.len()).expect("short words");
    Terms {
        price: (item.part != "part-3")
            .then(|| Price::between(Money::of_hundredths(cents), Money::of_hundredths(3 * cents))),
        spare: Spare { share: Ratio(0.2), least: 1 },
    }
}

proptest! {
    /// Every need stands on exactly one line; every line is the sum of its needs, and exists because of one.
    #[test]
    fn nothing_is_lost_and_nothing_is_added(needs in needs(), stock in stock()) {
        let kit = Kit::of(needs.clone(), &terms, &stock, &[]);
        let wanted: Vec<&Need> = needs.iter().filter(|need| need.count.hi() > 0).collect();
        let on_lines: usize = kit.lines.iter().map(|line| line.needs.len()).sum();
        prop_assert_eq!(on_lines, wanted.len());
        for line in &kit.lines {
            prop_assert!(!line.needs.is_empty());
            // Parts are used up; a tool serves everybody.
            let all = |of: fn(&Count) -> u32| line.needs.iter().map(move |need| of(&need.count));
            let (los, his) = (all(|count| count.lo()), all(|count| count.hi()));
            let expected = if line.item.group.is_sold() {
                (los.sum(), his.sum())
            } else {
                (los.max().unwrap(), his.max().unwrap())
            };
            prop_assert_eq!((line.needed.lo(), line.needed.hi()), expected);
            let same = wanted.iter().filter(|need| need.item.group == line.item.group
                && need.item.part == line.item.part && need.item.value == line.item.value);
            prop_assert_eq!(same.count(), line.needs.len());
        }
        let groups: Vec<Group> = kit.lines.iter().map(|line| line.item.group).collect();
        prop_assert!(groups.is_sorted());
    }

    /// What goes along is what is needed at most and the spares; the van never gives more than it has.
    #[test]
    fn the_van_and_the_order_make_the_whole(needs in needs(), stock in stock()) {
        for line in Kit::of(needs, &terms, &stock, &[]).lines {
            if !line.item.group.is_sold() {
                prop_assert_eq!((line.from_van, line.to_order, line.spares, line.price), (0, 0, 0, None));
                continue;
            }
            prop_assert_eq!(line.from_van + line.to_order, line.needed.hi() + line.spares);
            // A fifth of it, rounded up, in exact numbers.
            prop_assert_eq!(line.spares, line.needed.hi().div_ceil(5).max(1));
            if !line.uncounted {
                let here = stock.iter().filter(|one| one.part == line.item.part && one.value == line.item.value);
                let has: u32 = here.filter_map(|one| one.count).sum();
                prop_assert!(line.from_van <= has);
                prop_assert!(line.to_order == 0 || line.from_van == has);
            }
        }
    }

    /// More time, more parts or a higher rate never make it cheaper, and the parts of a bill make its sum.
    #[test]
    fn a_bill_adds_up_and_grows(parts in (0..1_000_000_i64, 0..1_000_000_i64), time in (0..1_000_000_u64, 0..1_000_000_u64),
        more in 0..100_000_u64, hour in 0..50_000_i64, margin in 0.0..1.0_f64, back: bool) {
        let rates = Rates {
            hour: Some(Money::of_hundredths(hour)), crew: 2, day_s: 28_800, travel: Money::of_hundredths(4_000),
            second_visit: Money::of_hundredths(9_000), margin: Ratio(margin),
        };
        let parts = Price::between(Money::of_hundredths(parts.0), Money::of_hundredths(parts.1));
        let time = Time::seconds(time.0, time.1);
        let bill = Bill::of(parts, time, &rates, back);
        let sum = bill.parts.plus(bill.margin).plus(bill.labour.unwrap()).plus(bill.travel).plus(bill.second_visit);
        prop_assert_eq!(bill.total, sum);
        prop_assert!(bill.total.lo() <= bill.total.hi());
        let longer = Bill::of(parts, time.plus(Time::seconds(more, more)), &rates, back);
        prop_assert!(longer.total.lo() >= bill.total.lo() && longer.total.hi() >= bill.total.hi());
        prop_assert!(Bill::of(parts, time, &rates, true).total.hi() >= bill.total.hi());
        let option = Bill::of_option(parts, time, &rates);
        prop_assert!(option.hi() <= bill.total.hi() && option.lo() <= bill.total.lo());
    }
}
