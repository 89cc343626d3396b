package claims

import (
	"math"
	"strconv"
	"strings"
)

// number reads a decimal number without exponent at the start of s and returns
// it, the value of its last digit, and how many bytes it takes; 0 bytes when
// there is none.
func number(s string) (value, step float64, size int) {
	digits, point := 0, -1
	for ; size < len(s); size++ {
		c := s[size]
		sign := size == 0 && (c == '-' || c == '+')
		if c == '.' && point < 0 {
			point = size
		} else if c >= '0' && c <= '9' {
			digits++
		} else if !sign {
			break
		}
	}
	// More digits than a float64 holds are no figure a person reads.
	if digits == 0 || size > 32 {
		return 0, 0, 0
	}
	value, err := strconv.ParseFloat(s[:size], 64)
	if err != nil {
		return 0, 0, 0
	}
	step = 1
	if point >= 0 {
		step = math.Pow(10, -float64(size-point-1))
	}
	return value, step, size
}

const (
	minute = 60
	hour   = 60 * minute
	day    = 24 * hour
)

func secondsIn(unit string) float64 {
	switch unit {
	case "d", "day", "days", "t", "tag", "tage", "j", "jours":
		return day
	case "h", "hr", "hrs", "hour", "hours", "std", "stunden", "heures", "horas", "ore":
		return hour
	case "m", "min", "mins", "minute", "minutes", "minuten", "minutos", "minuti":
		return minute
	case "s", "sec", "secs", "second", "seconds", "sek", "sekunden", "secondes", "segundos", "secondi":
		return 1
	}
	return 0
}

// duration reads a time: "1h 2m 3s" in any of the usual words, "01:02:03", or
// a bare number, which counts in the unit given beside the key, else in seconds.
// Two numbers with a colon could be hours or minutes and are not read.
func duration(s string, keyUnit []string) (seconds, step float64, ok bool) {
	s = strings.TrimSpace(s)
	if parts := strings.Split(s, ":"); len(parts) > 1 {
		return clock(parts)
	}
	for s != "" {
		value, last, size := number(s)
		if size == 0 {
			return seconds, step, ok
		}
		s = strings.TrimLeft(s[size:], " \t")
		end := strings.IndexFunc(s, func(r rune) bool { return !(r >= 'a' && r <= 'z') })
		if end < 0 {
			end = len(s)
		}
		unit := secondsIn(s[:end])
		if unit == 0 {
			if ok || end > 0 {
				return seconds, step, ok
			}
			// A bare number, perhaps with brackets or words after it.
			unit = 1
			for _, k := range keyUnit {
				if u := secondsIn(k); u > 0 {
					unit = u
				}
			}
			return value * unit, last * unit, value >= 0
		}
		seconds, step, ok = seconds+value*unit, last*unit, value >= 0
		if !ok {
			return 0, 0, false
		}
		s = strings.TrimLeft(s[end:], " \t,")
	}
	return seconds, step, ok
}

// clock reads h:m:s, with days before where there are four numbers.
func clock(parts []string) (seconds, step float64, ok bool) {
	if len(parts) != 3 && len(parts) != 4 {
		return 0, 0, false
	}
	units := []float64{day, hour, minute, 1}[4-len(parts):]
	for i, p := range parts {
		p = strings.TrimSpace(p)
		value, last, size := number(p)
		whole := size == len(p) || i == len(parts)-1
		if size == 0 || value < 0 || !whole {
			return 0, 0, false
		}
		seconds, step = seconds+value*units[i], last*units[i]
	}
	return seconds, step, true
}
