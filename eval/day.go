package eval

import (
	"time"
)

// day is a calendar day as a number that orders days; 0 is no day.
type day int

const dayForm = "2006-01-02"

func parseDay(s string) (day, error) {
	t, err := time.Parse(dayForm, s)
	if err != nil {
		return 0, err
	}
	return day(t.Year()*10000 + int(t.Month())*100 + t.Day()), nil
}

func (d day) String() string {
	if d == 0 {
		return ""
	}
	return d.time().Format(dayForm)
}

func (d day) time() time.Time {
	return time.Date(int(d)/10000, time.Month(int(d)/100%100), int(d)%100, 0, 0, 0, 0, time.UTC)
}

// next is the day after.
func (d day) next() day { return d.shifted(1) }

// before is the day before.
func (d day) before() day { return d.shifted(-1) }

func (d day) shifted(days int) day {
	t := d.time().AddDate(0, 0, days)
	return day(t.Year()*10000 + int(t.Month())*100 + t.Day())
}
