#!/usr/bin/env bash
# Takes the pages' small libraries from their npm packages, at the versions that
# tests/clients/pages/package-lock.json names, and writes VENDORED.md. A browser knows no bare names, and the
# policy of the pages forbids an import map, so "preact" becomes the file beside it; nothing else is changed.
set -euo pipefail

here=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")" && pwd -P)
packages=$here/../../../tests/clients/pages/node_modules
cd -- "$here"

take() { sed -e 's/from"preact"/from".\/preact.js"/g' -e '/^\/\/# sourceMappingURL=/d' "$packages/$1" >"$2"; }
take preact/dist/preact.mjs preact.js
take preact/hooks/dist/hooks.mjs hooks.js
take htm/dist/htm.mjs htm.js
take @preact/signals-core/dist/signals-core.mjs signals.js
take idb/build/index.js idb.js
if grep -lE 'from ?"[^.]' ./*.js; then
    echo "a bare name is left in these" >&2
    exit 1
fi

{
    echo "# Libraries of others, as they are"
    echo
    echo "Written by \`vendor.sh\`: the ES modules of the packages' own, small enough to be sent as they are."
    echo
    echo "| file | package | version | licence | what for | sha256 of the package's file |"
    echo "|---|---|---|---|---|---|"
    row() {
        local version licence
        version=$(node -p "require('$packages/$2/package.json').version")
        licence=$(node -p "require('$packages/$2/package.json').license")
        echo "| $1 | $2 | $version | $licence | $4 | \`$(sha256sum <"$packages/$3" | cut -d' ' -f1)\` |"
    }
    row preact.js preact preact/dist/preact.mjs "draws what is there, changes what differs"
    row hooks.js preact preact/hooks/dist/hooks.mjs "what a part remembers"
    row htm.js htm htm/dist/htm.mjs "parts written as HTML, without a build step"
    row signals.js @preact/signals-core @preact/signals-core/dist/signals-core.mjs "values that tell who shows them"
    row idb.js idb idb/build/index.js "IndexedDB with promises"
} >VENDORED.md
for package in preact htm @preact/signals-core idb; do
    file=$(ls "$packages/$package"/LICENSE* | head -n 1)
    printf '\n## Licence of %s\n\n```\n%s\n```\n' "$package" "$(cat -- "$file")"
done >>VENDORED.md
