#!/bin/sh
# Calls that a content security policy cannot stop, and ways around text-only
# output, must not stand in the page at all.
set -eu
cd "$(dirname "$0")/../.."
bad=$(grep -nE 'RTCPeerConnection|window\.open|location\.(assign|replace)|location(\.href)? *= *[^=]|sendBeacon|WebSocket|EventSource|XMLHttpRequest|\.innerHTML|\.outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|https?://' \
  site/index.html site/worker.js site/sw.js site/js -r | grep -vE "http://www\.w3\.org/[0-9]{4}/(svg|xlink)" || true)
if [ -n "$bad" ]; then
  echo "These calls or addresses must not stand in the page:"
  echo "$bad"
  exit 1
fi
# Only the worker and the service worker fetch, and only from their own origin.
bad=$(grep -rnE '\bfetch\(' site/js || true)
if [ -n "$bad" ]; then
  echo "Only the worker may fetch:"
  echo "$bad"
  exit 1
fi
