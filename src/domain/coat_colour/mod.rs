//! coat_colour
