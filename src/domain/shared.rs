//! Values that are held at several places and copied at none.

use serde::{Deserialize, Deserializer, Serialize, Serializer, ser::Error as _};
use serde_json::value::{RawValue, to_raw_value};
use std::{
    borrow::Borrow,
    ops::Deref,
    sync::{Arc, OnceLock},
};

/// A value that whoever looks at it shares. Two that are the same value are equal at a glance, so to compare much of
/// which little is new costs no more than what is new.
#[derive(Debug)]
pub struct Shared<T: ?Sized>(Arc<T>);

impl<T: ?Sized> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T: ?Sized + PartialEq> PartialEq for Shared<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0 == other.0
    }
}

impl<T: ?Sized> Deref for Shared<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T: Clone> Shared<T> {
    /// The value for oneself, copied only where others look at it.
    pub fn into_own(self) -> T {
        Arc::unwrap_or_clone(self.0)
    }
}

impl<T> From<T> for Shared<T> {
    fn from(value: T) -> Self {
        Self(Arc::new(value))
    }
}

impl<T> From<Vec<T>> for Shared<[T]> {
    fn from(rows: Vec<T>) -> Self {
        Self(Arc::from(rows))
    }
}

/// A shared value that is written as JSON once, however many answers it stands in: in the language of who asks first,
/// so it is for answers in that language alone.
#[derive(Debug)]
pub struct Written<T>(Arc<Inscribed<T>>);

#[derive(Debug)]
struct Inscribed<T> {
    value: T,
    json: OnceLock<Box<RawValue>>,
}

impl<T> Clone for Written<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T: PartialEq> PartialEq for Written<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.value == other.0.value
    }
}

impl<T: Eq> Eq for Written<T> {}

impl<T> Deref for Written<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0.value
    }
}

impl<T> Borrow<T> for Written<T> {
    fn borrow(&self) -> &T {
        self
    }
}

impl<T> From<T> for Written<T> {
    fn from(value: T) -> Self {
        Self(Arc::new(Inscribed { value, json: OnceLock::new() }))
    }
}

impl<T: Serialize> Serialize for Written<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Inscribed { value, json } = &*self.0;
        if let Some(json) = json.get() {
            return json.serialize(serializer);
        }
        let written = to_raw_value(value).map_err(S::Error::custom)?;
        json.get_or_init(|| written).serialize(serializer)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Written<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        T::deserialize(deserializer).map(Self::from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    /// Counts how often it is written.
    struct Counted<'a>(&'a Cell<u32>);

    impl Serialize for Counted<'_> {
        fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
            self.0.set(self.0.get() + 1);
            [1.5, 2.0].serialize(serializer)
        }
    }

    #[test]
    fn what_is_shared_is_written_once_and_reads_as_what_it_is() {
        let times = Cell::new(0);
        let written = Written::from(Counted(&times));
        let other = written.clone();
        assert_eq!(serde_json::to_string(&[&written, &other]).unwrap(), "[[1.5,2.0],[1.5,2.0]]");
        assert_eq!(serde_json::to_value(&other).unwrap(), serde_json::json!([1.5, 2.0]));
        assert_eq!(times.get(), 1);
        let read: Written<Vec<f64>> = serde_json::from_str("[1.5,2.0]").unwrap();
        assert_eq!(*read, [1.5, 2.0]);
    }

    #[test]
    fn the_same_value_is_equal_at_a_glance_and_an_equal_one_by_what_it_is() {
        // A number that is not equal to itself tells whether it was asked.
        let odd = Shared::from(f64::NAN);
        assert_eq!(odd, odd.clone());
        assert_ne!(odd, Shared::from(f64::NAN));
        assert_eq!(Shared::from(2.0), Shared::from(2.0));
        assert_ne!(Shared::from(vec![1, 2]), Shared::<[i32]>::from(vec![1, 3]));
        assert_eq!(Shared::from(String::from("own")).into_own(), "own");
        let (one, odd) = (Written::from(2.0), Written::from(f64::NAN));
        assert!(one == Written::from(2.0) && odd == odd.clone() && odd != Written::from(f64::NAN));
    }
}
