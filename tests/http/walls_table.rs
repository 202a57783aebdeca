//! Every operation, every role.
