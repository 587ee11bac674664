/** Months, days and decimal signs in the language of the page, for the axes. */

const language = document.documentElement.lang || "en";

function names(count, options, day) {
  const format = new Intl.DateTimeFormat(language, { ...options, timeZone: "UTC" });
  return Array.from({ length: count }, (_, at) => format.format(day(at)));
}

// 1 January 2023 was a Sunday, where a week begins for the library.
const month = (at) => new Date(Date.UTC(2023, at, 1));
const day = (at) => new Date(Date.UTC(2023, 0, 1 + at));

const parts = new Intl.NumberFormat(language).formatToParts(1234567.8);
const sign = (type, otherwise) => parts.find((part) => part.type === type)?.value ?? otherwise;

/** Decimal sign and the sign between thousands, as the library takes them. */
export const separators = sign("decimal", ".") + sign("group", " ");

/** A language for the library: day before month. */
export const locale = {
  moduleType: "locale",
  name: "page",
  dictionary: {},
  format: {
    months: names(12, { month: "long" }, month),
    shortMonths: names(12, { month: "short" }, month),
    days: names(7, { weekday: "long" }, day),
    shortDays: names(7, { weekday: "short" }, day),
    periods: ["AM", "PM"],
    date: "%-d %b %Y",
    year: "%Y",
    month: "%b %Y",
    dayMonth: "%-d %b",
    dayMonthYear: "%-d %b %Y",
  },
};
