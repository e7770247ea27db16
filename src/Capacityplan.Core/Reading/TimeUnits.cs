using System.Collections.Frozen;

namespace Capacityplan.Core.Reading;

/// <summary>The words and signs for units of time, in the languages timings are pasted in.</summary>
internal static class TimeUnits
{
    public const double Minute = 60;
    public const double Hour = 3600;
    public const double Day = 86400;
    public const double Year = 365.25 * Day;

    private static readonly FrozenDictionary<string, double>.AlternateLookup<ReadOnlySpan<char>> s_seconds = Words()
        .SelectMany(unit => unit.Words.Split(' '), (unit, word) => (word, unit.Seconds))
        .ToFrozenDictionary(pair => pair.word, pair => pair.Seconds, StringComparer.OrdinalIgnoreCase)
        .GetAlternateLookup<ReadOnlySpan<char>>();

    /// <summary>
    /// Length of the unit a word names, seconds; false where it names none. Letter case does not matter, and without it the
    /// micro sign and the Greek letter are one.
    /// </summary>
    public static bool TryFind(ReadOnlySpan<char> word, out double seconds) => s_seconds.TryGetValue(word, out seconds);

    private static IEnumerable<(double Seconds, string Words)> Words() =>
    [
        (1e-9, "ns nsec nanos nanosecond nanoseconds nanosekunden"),
        (1e-6, "us µs usec usecs micros microsec microsecond microseconds mikrosekunden"),
        (1e-3, "ms msec msecs millis millisec millisecond milliseconds millisekunden millisekunde millisecondes milisegundos millisecondi 毫秒 ミリ秒 мс"),
        (1, "s sec secs second seconds sek sekunde sekunden seconde secondes segundo segundos secondo secondi seconden sekunder sekunnit sekund sekundy с сек секунд секунды 秒 秒钟 ″ \""),
        (Minute, "m min mins minute minutes minuten minuto minutos minuti minuut minuter minutter minuuttia minut minuty мин минут минуты 分 分钟 分間 ′ '"),
        (Hour, "h hr hrs hour hours std stunde stunden heure heures hora horas ora ore uur uren timme timmar timer tunti tuntia godz godzin ч час часа часов 時間 小时 时"),
        (Day, "d day days tag tage tagen jour jours día días dia dias giorno giorni dag dagen dagar dager doba dni день дня дней 日 天"),
        (7 * Day, "w week weeks wk wks woche wochen semaine semaines semana semanas"),
        (Year, "y yr yrs year years jahr jahre année années ans año años"),
    ];
}
