package gltfio

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"net/url"
	"strings"
)

func isData(uri []byte) bool {
	return len(uri) >= 5 && strings.EqualFold(string(uri[:5]), "data:")
}

// dataURI decodes a data URI (RFC 2397). odd says what is wrong with it; the bytes
// up to the fault are answered all the same.
func dataURI(uri []byte) (data []byte, mime, odd string) {
	head, body, ok := bytes.Cut(uri[5:], []byte{','})
	if !ok {
		return nil, "", "a data URI without a comma"
	}
	kind, isBase64 := strings.CutSuffix(string(head), ";base64")
	mime, _, _ = strings.Cut(kind, ";")
	mime = strings.ToLower(mime)
	if !isBase64 || bytes.IndexByte(body, '%') >= 0 {
		plain, err := url.PathUnescape(string(body))
		if err != nil {
			return nil, mime, fmt.Sprintf("a data URI that cannot be read: %v", err)
		}
		if body = []byte(plain); !isBase64 {
			return body, mime, ""
		}
	}
	coding := base64.StdEncoding
	if bytes.ContainsAny(body[:min(len(body), 1<<16)], "-_") {
		coding = base64.URLEncoding
	}
	if n := len(body); n > 0 && body[n-1] != '=' && n%4 != 0 {
		coding = coding.WithPadding(base64.NoPadding)
	}
	data = make([]byte, coding.DecodedLen(len(body)))
	n, err := coding.Decode(data, body)
	if err != nil {
		odd = fmt.Sprintf("a data URI whose base64 breaks off after %d bytes", n)
	}
	return data[:n], mime, odd
}
