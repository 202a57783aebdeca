//! What is named in the tokens of a macro, of which only the macro knows the syntax.

use proc_macro2::{Delimiter, TokenStream, TokenTree};

use crate::names::{Name, Scope, plain};
use crate::reading::Reader;

/// Notes every path, method and macro in tokens; texts as well when they are code.
pub fn read(reader: &mut Reader, tokens: &TokenStream, is_code: bool) {
    let tokens: Vec<TokenTree> = tokens.clone().into_iter().collect();
    let uses: Vec<syn::Item> = uses(&tokens).into_iter().map(syn::Item::Use).collect();
    reader.within(Scope::of(&uses), |reader| {
        for item in &uses {
            if let syn::Item::Use(item) = item {
                reader.brought_in(&item.tree);
            }
        }
        let mut at = 0;
        while at < tokens.len() {
            at = step(reader, &tokens, at, is_code);
        }
    });
}

/// Notes what begins at a token, and says where to go on.
fn step(reader: &mut Reader, tokens: &[TokenTree], at: usize, is_code: bool) -> usize {
    match &tokens[at] {
        TokenTree::Group(group) => read(reader, &group.stream(), is_code),
        TokenTree::Ident(ident) if ["async", "await"].contains(&&*ident.to_string()) => {
            reader.note("async".to_owned(), ident.span().start().line);
        }
        TokenTree::Ident(ident) if is_method(tokens, at) => {
            reader.note(format!(".{}", plain(ident)), ident.span().start().line);
        }
        TokenTree::Ident(ident) => {
            let (path, next) = path_at(tokens, at);
            let line = ident.span().start().line;
            match tokens.get(next + 1) {
                Some(TokenTree::Group(group)) if is_mark(tokens, next, '!') => {
                    reader.called(&path, &group.stream(), line);
                }
                _ => reader.name(&path, line),
            }
            return next;
        }
        TokenTree::Literal(literal) if is_code => {
            if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                reader.text(text.value(), literal.span().start().line);
            }
        }
        TokenTree::Literal(_) | TokenTree::Punct(_) => {}
    }
    at + 1
}

/// The path that begins at a word, and the token after it: `a::b`, `a::<T>::b` without what stands in the
/// brackets, and `<a>::b`. A variable of a macro is `$`.
fn path_at(tokens: &[TokenTree], start: usize) -> (Name, usize) {
    let mut path = Name::new();
    let mut next = start;
    // The words in angle brackets are read by themselves.
    let mut first_after_words = None;
    while let Some(TokenTree::Ident(ident)) = tokens.get(next) {
        let is_variable = next > 0 && is_mark(tokens, next - 1, '$') && ident != "crate";
        path.push(if is_variable { "$".to_owned() } else { plain(ident) });
        next += 1;
        let end = first_after_words.unwrap_or(next);
        let mut after = next;
        if is_mark(tokens, after, '>') {
            first_after_words.get_or_insert(next);
            after += 1;
        }
        if !is_double_colon(tokens, after) {
            return (path, end);
        }
        after += 2;
        if is_mark(tokens, after, '<') {
            first_after_words.get_or_insert(next);
            let Some(closed) = closing(tokens, after) else { return (path, end.max(next)) };
            if !is_double_colon(tokens, closed) {
                return (path, next);
            }
            after = closed + 2;
        }
        if is_mark(tokens, after, '$') {
            after += 1;
        }
        next = after;
    }
    (path, first_after_words.unwrap_or(next))
}

/// The token after the angle bracket that closes the one here.
fn closing(tokens: &[TokenTree], start: usize) -> Option<usize> {
    let mut open = 0;
    for at in start..tokens.len() {
        if is_mark(tokens, at, '<') {
            open += 1;
        } else if is_mark(tokens, at, '>') {
            open -= 1;
        }
        if open == 0 {
            return Some(at + 1);
        }
    }
    None
}

/// Whether a word is called on what stands before it; not in `0..end`.
fn is_method(tokens: &[TokenTree], at: usize) -> bool {
    at > 0 && is_mark(tokens, at - 1, '.') && !(at > 1 && is_mark(tokens, at - 2, '.'))
}

fn is_mark(tokens: &[TokenTree], at: usize, mark: char) -> bool {
    matches!(tokens.get(at), Some(TokenTree::Punct(punct)) if punct.as_char() == mark)
}

fn is_double_colon(tokens: &[TokenTree], at: usize) -> bool {
    is_mark(tokens, at, ':') && is_mark(tokens, at + 1, ':')
}

/// The `use` lines among tokens, and those in braces right behind the pattern of a macro.
fn uses(tokens: &[TokenTree]) -> Vec<syn::ItemUse> {
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        if !matches!(token, TokenTree::Ident(word) if word == "use") {
            continue;
        }
        // `$crate` is `crate` to whoever reads where the macro stands.
        let line = tokens[at..].iter().take_while(
            |token| !matches!(token, TokenTree::Punct(punct) if punct.as_char() == ';'),
        );
        let line = line
            .filter(|token| !matches!(token, TokenTree::Punct(punct) if punct.as_char() == '$'))
            .cloned();
        let mut line: TokenStream = line.collect();
        line.extend([TokenTree::Punct(proc_macro2::Punct::new(';', proc_macro2::Spacing::Alone))]);
        found.extend(syn::parse2::<syn::ItemUse>(line));
    }
    found
}

/// Notes what a macro may make of its arguments: of `clock!(Utc, now)` the path `Utc::now`.
pub fn pairs(reader: &mut Reader, tokens: &TokenStream) {
    let mut arguments: Vec<Vec<TokenTree>> = vec![Vec::new()];
    for token in tokens.clone() {
        match token {
            TokenTree::Punct(punct) if [',', ';'].contains(&punct.as_char()) => {
                arguments.push(Vec::new());
            }
            TokenTree::Group(group) if group.delimiter() == Delimiter::None => {
                arguments.last_mut().unwrap().extend(group.stream());
            }
            token => arguments.last_mut().unwrap().push(token),
        }
    }
    let paths: Vec<(Name, usize)> = arguments
        .iter()
        .filter(|argument| matches!(argument.first(), Some(TokenTree::Ident(_))))
        .filter_map(|argument| {
            let (path, next) = path_at(argument, 0);
            (next == argument.len()).then(|| (path, argument[0].span().start().line))
        })
        .collect();
    for (owner, line) in &paths {
        for (own, _) in paths.iter().filter(|(own, _)| own.len() == 1 && own != owner) {
            let full: Name = owner.iter().chain(own).cloned().collect();
            reader.name(&full, *line);
        }
    }
}

/// The words of a line for the log that stand for values: not the names that they are told under, and of its
/// text those in braces.
pub fn values(tokens: &TokenStream) -> Vec<String> {
    let tokens: Vec<TokenTree> = tokens.clone().into_iter().collect();
    let mut words = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        match token {
            TokenTree::Group(group) => words.extend(values(&group.stream())),
            TokenTree::Ident(word) if !is_mark(&tokens, at + 1, '=') => words.push(plain(word)),
            TokenTree::Literal(literal) => {
                let text = literal.to_string();
                let braced = text.split('{').skip(1).filter_map(|rest| rest.split_once('}'));
                words.extend(
                    braced.map(|(word, _)| {
                        word.split(':').next().unwrap_or_default().trim().to_owned()
                    }),
                );
            }
            _ => {}
        }
    }
    words
}
