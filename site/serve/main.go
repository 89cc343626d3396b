// Command serve serves the built site on this machine with the headers of
// netlify.toml, so that what is tried here is what is served there.
//
//	go run ./site/serve [-dir dist] [-addr localhost:8377]
package main

import (
	"compress/gzip"
	"crypto/sha256"
	"flag"
	"fmt"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
)

// rule is one [[headers]] entry of netlify.toml.
type rule struct {
	For    string            `toml:"for"`
	Values map[string]string `toml:"values"`
}

type config struct {
	Headers []rule `toml:"headers"`
}

// matches reports whether the rule holds for the path: an exact path, or a
// prefix that ends in *.
func (r rule) matches(path string) bool {
	if prefix, ok := strings.CutSuffix(r.For, "*"); ok {
		return strings.HasPrefix(path, prefix)
	}
	return path == r.For
}

func main() {
	log.SetFlags(0)
	dir := flag.String("dir", "dist", "folder to serve")
	address := flag.String("addr", "localhost:8377", "address to listen on; port 0 takes a free one")
	rules := flag.String("config", "netlify.toml", "file with the headers")
	flag.Parse()
	var c config
	if _, err := toml.DecodeFile(*rules, &c); err != nil {
		log.Fatal("serve: ", err)
	}
	if _, err := os.Stat(filepath.Join(*dir, "index.html")); err != nil {
		log.Fatal("serve: nothing built yet, run make build first: ", err)
	}
	listener, err := net.Listen("tcp", *address)
	if err != nil {
		log.Fatal("serve: ", err)
	}
	fmt.Printf("Sheenlay is served at http://%s/ (stop with Ctrl+C)\n", listener.Addr())
	log.Fatal(http.Serve(listener, handler(*dir, c)))
}

// types of files whose type the system's own table may not know.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".wasm": "application/wasm", ".webmanifest": "application/manifest+json", ".svg": "image/svg+xml",
	".png": "image/png", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8",
}

func handler(dir string, c config) http.Handler {
	packed := &packer{}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			http.Error(w, "only GET", http.StatusMethodNotAllowed)
			return
		}
		for _, rule := range c.Headers {
			if rule.matches(r.URL.Path) {
				for name, value := range rule.Values {
					w.Header().Set(name, value)
				}
			}
		}
		name := r.URL.Path
		if strings.HasSuffix(name, "/") {
			name += "index.html"
		}
		file := filepath.Join(dir, filepath.FromSlash(name))
		data, err := os.ReadFile(file)
		if err != nil || !filepath.IsLocal(strings.TrimPrefix(filepath.FromSlash(name), "/")) {
			http.Error(w, "not found", http.StatusNotFound)
			return
		}
		if t := types[filepath.Ext(file)]; t != "" {
			w.Header().Set("Content-Type", t)
		}
		if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") && filepath.Ext(file) != ".png" {
			w.Header().Set("Content-Encoding", "gzip")
			w.Header().Set("Vary", "Accept-Encoding")
			data = packed.pack(file, data)
		}
		w.Header().Set("Content-Length", fmt.Sprint(len(data)))
		if r.Method == http.MethodGet {
			w.Write(data)
		}
	})
}

// packer keeps what it compressed: the engine takes a second to pack.
type packer struct {
	mu   sync.Mutex
	done map[string][]byte
}

func (p *packer) pack(name string, data []byte) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	key := fmt.Sprintf("%s %x", name, sha256.Sum256(data))
	if out, ok := p.done[key]; ok {
		return out
	}
	var b strings.Builder
	w := gzip.NewWriter(&b)
	w.Write(data)
	w.Close()
	if p.done == nil {
		p.done = map[string][]byte{}
	}
	p.done[key] = []byte(b.String())
	return p.done[key]
}
