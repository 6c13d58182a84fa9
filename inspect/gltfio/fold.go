package gltfio

import (
	"strings"
	"unicode"
)

// fold writes a file name so that spellings of one name come out equal: case, and
// letters with marks either as one rune or as letter and mark (disks differ in
// which they hand out). It is only used to compare names within one drop, so
// dropping the marks altogether is no harm: two names that then fall together
// match nothing.
func fold(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case unicode.Is(unicode.Mn, r):
			continue
		case r == '\u3099' || r == '\u309A': // voiced marks of kana
			continue
		case 0xAC00 <= r && r <= 0xD7A3: // Hangul syllables (Unicode §3.12)
			s := r - 0xAC00
			b.WriteRune(0x1100 + s/588)
			b.WriteRune(0x1161 + s%588/28)
			if t := s % 28; t != 0 {
				b.WriteRune(0x11A7 + t)
			}
		default:
			if plain, ok := unmarked[r]; ok {
				r = plain
			}
			b.WriteRune(r)
		}
	}
	return b.String()
}

// unmarked maps lower-case letters with a mark to the letter (Unicode canonical
// decompositions of Latin-1, Latin Extended-A, Greek tonos, Cyrillic and kana).
var unmarked = marks(
	"a", "àáâãäåāăą", "c", "çćĉċč", "d", "ď", "e", "èéêëēĕėęě", "g", "ĝğġģ", "h", "ĥ",
	"i", "ìíîïĩīĭį", "j", "ĵ", "k", "ķ", "l", "ĺļľ", "n", "ñńņň", "o", "òóôõöōŏő",
	"r", "ŕŗř", "s", "śŝşšș", "t", "ţťț", "u", "ùúûüũūŭůűų", "w", "ŵ", "y", "ýÿŷ", "z", "źżž",
	"α", "ά", "ε", "έ", "η", "ή", "ι", "ίϊΐ", "ο", "ό", "υ", "ύϋΰ", "ω", "ώ",
	"и", "йѝ", "е", "ёѐ", "г", "ѓ", "к", "ќ", "у", "ў", "і", "ї",
	"か", "が", "き", "ぎ", "く", "ぐ", "け", "げ", "こ", "ご", "さ", "ざ", "し", "じ", "す", "ず", "せ", "ぜ", "そ", "ぞ",
	"た", "だ", "ち", "ぢ", "つ", "づ", "て", "で", "と", "ど", "は", "ばぱ", "ひ", "びぴ", "ふ", "ぶぷ", "へ", "べぺ", "ほ", "ぼぽ", "う", "ゔ",
	"カ", "ガ", "キ", "ギ", "ク", "グ", "ケ", "ゲ", "コ", "ゴ", "サ", "ザ", "シ", "ジ", "ス", "ズ", "セ", "ゼ", "ソ", "ゾ",
	"タ", "ダ", "チ", "ヂ", "ツ", "ヅ", "テ", "デ", "ト", "ド", "ハ", "バパ", "ヒ", "ビピ", "フ", "ブプ", "ヘ", "ベペ", "ホ", "ボポ", "ウ", "ヴ",
)

func marks(pairs ...string) map[rune]rune {
	m := map[rune]rune{}
	for i := 0; i < len(pairs); i += 2 {
		plain := []rune(pairs[i])[0]
		for _, r := range pairs[i+1] {
			m[r] = plain
		}
	}
	return m
}
