//! What was attacked, and its neighbours: each door by the attack that found it open.

mod bodies;
mod co_owners;
mod erasure;
mod existence;
mod kept_answers;
mod locks;
mod logins;
mod logs;
mod one_statement;
mod owasp;
mod rights;
mod second_wall;
mod streams;
mod texts;
mod webhooks;
mod work;
