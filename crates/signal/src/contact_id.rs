//! Contact ID (DC-05), as it stands inside DC-09: `[#acct|QXYZ GG CCC]`.

/// Whether a condition begins, ends, or is still there.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Qualifier {
    /// 1: a new event, or an opening.
    New,
    /// 3: a restore, or a closing.
    Restore,
    /// 6: reported before and still there.
    Still,
}

impl Qualifier {
    /// The digit on the wire.
    #[must_use]
    pub fn digit(self) -> u8 {
        match self {
            Self::New => 1,
            Self::Restore => 3,
            Self::Still => 6,
        }
    }
}

/// One Contact ID event.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ContactId<'m> {
    /// The account in the data, without `#`; it may differ from the header's.
    pub account: Option<&'m [u8]>,
    /// Q.
    pub qualifier: Qualifier,
    /// XYZ: three digits 0-9, B-F.
    pub code: [u8; 3],
    /// GG: area (partition); `00` is none.
    pub area: [u8; 2],
    /// CCC: zone or user; `000` is none.
    pub number: [u8; 3],
}

impl<'m> ContactId<'m> {
    /// Reads the data of a message. The two blanks are part of the form.
    #[must_use]
    pub fn read(data: &'m [u8]) -> Option<Self> {
        let (account, event) = account(data);
        let event: &[u8; 11] = event.try_into().ok()?;
        let qualifier = match event[0] {
            b'1' => Qualifier::New,
            b'3' => Qualifier::Restore,
            b'6' => Qualifier::Still,
            _ => return None,
        };
        let digit = |at: usize| matches!(event[at], b'0'..=b'9' | b'B'..=b'F').then_some(event[at]);
        if event[4] != b' ' || event[7] != b' ' {
            return None;
        }
        Some(Self {
            account,
            qualifier,
            code: [digit(1)?, digit(2)?, digit(3)?],
            area: [digit(5)?, digit(6)?],
            number: [digit(8)?, digit(9)?, digit(10)?],
        })
    }

    /// The code as a number, where it has decimal digits only.
    #[must_use]
    pub fn code_number(&self) -> Option<u32> {
        decimal(&self.code)
    }
}

/// Decimal digits as a number.
pub(crate) fn decimal(digits: &[u8]) -> Option<u32> {
    if digits.is_empty() || digits.len() > 9 {
        return None;
    }
    digits.iter().try_fold(0_u32, |number, digit| {
        digit.is_ascii_digit().then(|| number * 10 + u32::from(digit - b'0'))
    })
}

/// The account in the data and what follows its bar. Some senders leave the account or its `#` out.
pub(crate) fn account(data: &[u8]) -> (Option<&[u8]>, &[u8]) {
    let Some(bar) = data.iter().position(|&octet| octet == b'|') else { return (None, data) };
    let account = data[..bar].strip_prefix(b"#").unwrap_or(&data[..bar]);
    ((!account.is_empty()).then_some(account), &data[bar + 1..])
}

/// The checksum digit of a sixteen-digit message on a telephone line: the sum of all digits and it is a
/// multiple of 15, where 0 counts 10, B to F count 11 to 15, and F stands for a rest of nothing. Not used inside
/// DC-09, which has its own. `digits` are the fifteen before it, blanks passed over.
#[must_use]
pub fn checksum(digits: &str) -> Option<char> {
    let mut sum = 0_u32;
    for digit in digits.chars().filter(|sign| *sign != ' ') {
        sum += match digit {
            '0' => 10,
            '1'..='9' => u32::from(digit) - u32::from('0'),
            'B'..='F' => u32::from(digit) - u32::from('A') + 10,
            _ => return None,
        };
    }
    let missing = (15 - sum % 15) % 15;
    match missing {
        0 => Some('F'),
        10 => Some('0'),
        missing => char::from_digit(missing, 16).map(|digit| digit.to_ascii_uppercase()),
    }
}
