#!/bin/sh
# Links in the README and the docs must lead to a file that exists, or, within a
# page, to an id that stands in it. Addresses on the web are not visited.
set -eu
cd "$(dirname "$0")/../.."
dead=""
for page in README.md DEVELOPERS.md site/docs/*.md site/docs/*.html site/index.html; do
  [ -f "$page" ] || continue
  links=$( { sed -n 's/.*/&/p' "$page" | grep -oE '\]\([^) ]+' | sed 's/^](//'; grep -oE '(href|src)="[^"]+"' "$page" | sed 's/^[a-z]*="//; s/"$//'; } || true)
  for link in $links; do
    case "$link" in
    *://* | mailto:* | data:* | '{'*) continue ;;
    esac
    file=${link%%#*}
    id=""
    case "$link" in *'#'*) id=${link#*#} ;; esac
    target=$page
    if [ -n "$file" ]; then
      target=$(dirname "$page")/$file
      # What the build writes is looked up in its output.
      [ -e "$target" ] || target=dist/${file#./}
      [ -e "$target" ] || target=dist/docs/${file#./}
      [ -e "$target" ] || target=site/${file#./}
      [ -e "$target" ] || target=site/docs/${file#./}
      if [ ! -e "$target" ]; then
        grep -qF "\"$(basename "$file")\"" site/build/*.go || dead="$dead$page: $link
"
        continue
      fi
    fi
    case "$target" in
    *.html) [ -z "$id" ] || grep -q "id=\"$id\"" "$target" || dead="$dead$page: $link
" ;;
    esac
  done
done
[ -z "$dead" ] || { printf 'dead links:\n%s' "$dead"; exit 1; }
