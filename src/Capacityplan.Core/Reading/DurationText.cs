using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>A duration as read from a text.</summary>
/// <param name="Seconds">The duration, seconds; finite, and of either sign, since only the caller knows what makes sense.</param>
/// <param name="HasUnit">True where the text itself says the unit, by a word, a sign, colons or ISO 8601; false for a bare number.</param>
/// <param name="UnitSeconds">Length of the unit, seconds, where the text is one number with one unit; null otherwise.</param>
/// <param name="IsAmbiguous">True where a mark in it could part thousands or decimals; see <see cref="NumberReading.IsAmbiguous"/>.</param>
/// <param name="Mark">The decimal mark the text proves its writer to use.</param>
public readonly record struct DurationReading(double Seconds, bool HasUnit, double? UnitSeconds, bool IsAmbiguous, DecimalMark Mark);

/// <summary>
/// Reads a duration as people and programs write it: 12.3, 12,3 s, 500 ms, 3 µs, 104.1 min, 6h 28m, 1h45m50s, 56m50,
/// 3:16:40, 12:34.5, 1d 2h, 2 days, 3:04:05, PT1H2M3.5S, and the same with unit words of other languages.
/// </summary>
/// <remarks>
/// Two parts with a colon are minutes and seconds, three are hours, minutes and seconds, four begin with days; two parts are
/// hours and minutes where the unit says hours ("3:16 h"). A bare number after a unit counts the next smaller one, as in
/// 56m50 or 1h30. Units have to fall from left to right. "m" is minutes. Years and months of ISO 8601 have no fixed length
/// and are not read.
/// </remarks>
public static class DurationText
{
    /// <summary>The longest text taken for one duration.</summary>
    internal const int Longest = 100;

    /// <summary>Reads a duration; a bare number counts seconds.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="seconds">The duration, seconds; finite, of either sign.</param>
    /// <returns>False where the text is not a duration.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, out double seconds)
    {
        var isDuration = TryRead(text, 1, DecimalMark.Unknown, out var reading);
        seconds = reading.Seconds;
        return isDuration;
    }

    /// <summary>Reads a duration and says how it was written.</summary>
    /// <param name="text">The text; spaces around it are ignored.</param>
    /// <param name="bareUnitSeconds">What a bare number counts, seconds; 3600 also makes h:mm of two parts with a colon.</param>
    /// <param name="mark">The writer's decimal mark, where other figures show it; it decides only what the text leaves open.</param>
    /// <param name="reading">The duration and how it was written.</param>
    /// <returns>False where the text is not a duration.</returns>
    public static bool TryRead(ReadOnlySpan<char> text, double bareUnitSeconds, DecimalMark mark, out DurationReading reading)
    {
        text = text.Trim();
        if (text is [.., var letter, '.'] && char.IsLetter(letter))
            text = text[..^1];
        var length = ReadPrefix(text, bareUnitSeconds, mark, isWhole: true, out reading);
        return length > 0 && length == text.Length;
    }

    /// <summary>Reads the duration, or bare number, a text begins with.</summary>
    /// <param name="text">The text, beginning with a sign, a digit, a mark before a digit, or P.</param>
    /// <param name="bareUnitSeconds">What a bare number counts, seconds.</param>
    /// <param name="mark">The writer's decimal mark.</param>
    /// <param name="isWhole">True where the text should hold nothing else, so that a space may part thousands ("4 420 s") and
    /// stand before a last bare number ("1 h 45"). In running text both would swallow neighbours.</param>
    /// <param name="reading">The duration.</param>
    /// <returns>How much of the text it takes; 0 where there is none.</returns>
    internal static int ReadPrefix(
        ReadOnlySpan<char> text, double bareUnitSeconds, DecimalMark mark, bool isWhole, out DurationReading reading)
    {
        reading = default;
        if (text.Length > Longest)
            text = isWhole ? [] : text[..Longest];
        var at = 0;
        var sign = 1;
        if (at < text.Length && (text[at] == '+' || NumberText.IsMinus(text[at])))
        {
            sign = text[at] == '+' ? 1 : -1;
            at++;
        }

        if (at >= text.Length)
            return 0;

        var scan = new Scan(text, at, bareUnitSeconds, mark, isWhole);
        var isRead = text[at] is 'P' or 'p' ? scan.ReadIso() : scan.Read();
        if (!isRead || !double.IsFinite(scan.Seconds))
            return 0;
        reading = new DurationReading(sign * scan.Seconds, scan.HasUnit, scan.UnitSeconds, scan.IsAmbiguous, scan.Mark);
        return scan.At;
    }

    /// <summary>Length of the number a text begins with; 0 where it begins with none.</summary>
    internal static int NumberLength(ReadOnlySpan<char> text, bool isWhole)
    {
        var at = 0;
        while (at < text.Length)
        {
            if (char.IsDigit(text[at]))
                at++;
            else if (text[at] is '.' or ',' && at + 1 < text.Length && char.IsDigit(text[at + 1]))
                at += 2;
            else if (at > 0 && MayPartThousands(text[at], isWhole) && DigitRun(text[(at + 1)..]) == 3)
                at += 4;
            else
                break;
        }

        if (at > 0 && at + 1 < text.Length && text[at] is 'e' or 'E')
        {
            var exponent = at + 1;
            if (text[exponent] == '+' || NumberText.IsMinus(text[exponent]))
                exponent++;
            var digits = DigitRun(text[exponent..]);
            var end = exponent + digits;
            if (digits is > 0 and <= 4 && (end == text.Length || !char.IsLetter(text[end]) || TimeUnits.TryFind(Word(text[end..]), out _)))
                at = end;
        }

        return at;
    }

    private static bool MayPartThousands(char symbol, bool isWhole) =>
        symbol == ' ' ? isWhole : NumberText.IsThousandsMark(symbol);

    private static int DigitRun(ReadOnlySpan<char> text)
    {
        var length = 0;
        while (length < text.Length && char.IsDigit(text[length]))
            length++;
        return length;
    }

    private static ReadOnlySpan<char> Word(ReadOnlySpan<char> text)
    {
        var length = 0;
        while (length < text.Length && char.IsLetter(text[length]))
            length++;
        return length > 0 ? text[..length] : text is ['\'' or '"' or '′' or '″', ..] ? text[..1] : [];
    }

    /// <summary>One pass over one text.</summary>
    private ref struct Scan(ReadOnlySpan<char> text, int start, double bareUnitSeconds, DecimalMark known, bool isWhole)
    {
        private readonly ReadOnlySpan<char> _text = text;

        /// <summary>Where the duration read so far ends.</summary>
        public int At { get; private set; } = start;

        public double Seconds { get; private set; }

        public bool HasUnit { get; private set; }

        public double? UnitSeconds { get; private set; }

        public bool IsAmbiguous { get; private set; }

        public DecimalMark Mark { get; private set; }

        public bool Read()
        {
            if (!TryNumber(At, out var number, out var end))
                return false;
            if (IsColon(end))
                return TryColons(At, bareUnitSeconds == TimeUnits.Hour);

            if (!TryUnit(end, isFirst: true, out var unit, out var unitEnd))
            {
                Take(number, bareUnitSeconds, end);
                return true;
            }

            Take(number, unit, unitEnd);
            HasUnit = true;
            UnitSeconds = unit;
            while (TryNext(ref unit))
                UnitSeconds = null;
            return true;
        }

        public bool ReadIso()
        {
            var at = At + 1;
            var inTime = false;
            var parts = 0;
            var last = double.PositiveInfinity;
            while (at < _text.Length)
            {
                if (!inTime && _text[at] is 'T' or 't')
                {
                    inTime = true;
                    at++;
                    continue;
                }

                if (!TryNumber(at, out var number, out var end) || end >= _text.Length)
                    break;
                var unit = char.ToUpperInvariant(_text[end]) switch
                {
                    'W' when !inTime => 7 * TimeUnits.Day,
                    'D' when !inTime => TimeUnits.Day,
                    'H' when inTime => TimeUnits.Hour,
                    'M' when inTime => TimeUnits.Minute,
                    'S' when inTime => 1,
                    _ => double.NaN,
                };
                if (!(unit < last))
                    break;
                Take(number, unit, end + 1);
                (last, at) = (unit, end + 1);
                parts++;
            }

            HasUnit = true;
            return parts > 0 && at == At && (at == _text.Length || !char.IsLetterOrDigit(_text[at]));
        }

        /// <summary>Reads a further component: a smaller unit, a clock form after days, or a last bare number.</summary>
        private bool TryNext(ref double unit)
        {
            var at = SkipSeparators(At);
            if (!TryNumber(at, out var number, out var end))
                return false;
            if (IsColon(end))
                return unit >= TimeUnits.Day && TryColons(at, hoursAndMinutes: true);

            if (TryUnit(end, isFirst: false, out var smaller, out var unitEnd))
            {
                if (!(smaller < unit))
                    return false;
                Take(number, smaller, unitEnd);
                unit = smaller;
                return true;
            }

            // 56m50, and where nothing else follows also "1 h 45".
            var isLast = at == At
                ? end == _text.Length || !char.IsLetter(_text[end])
                : isWhole && end == _text.Length;
            if (!isLast || !(number < 60) || unit is not (TimeUnits.Hour or TimeUnits.Minute))
                return false;
            Take(number, unit / 60, end);
            unit = 0;
            return true;
        }

        private readonly bool IsColon(int at) => at + 1 < _text.Length && _text[at] == ':' && char.IsDigit(_text[at + 1]);

        private bool TryColons(int start, bool hoursAndMinutes)
        {
            Span<double> parts = stackalloc double[4];
            var count = 0;
            var at = start;
            while (true)
            {
                var digits = DigitRun(_text[at..]);
                if (digits == 0 || digits > (count == 0 ? 9 : 2) || count == parts.Length)
                    return false;
                var end = at + digits;
                var isLast = !IsColon(end);
                if (isLast && count > 0 && end + 1 < _text.Length && _text[end] is '.' or ',')
                    end += DigitRun(_text[(end + 1)..]) is var decimals and > 0 ? decimals + 1 : 0;
                parts[count++] = Plain(_text[at..end]);
                at = end;
                if (isLast)
                    break;
                at++;
            }

            if (at < _text.Length && _text[at] == ':')
                return false;
            var seconds = count switch { 2 => TimeUnits.Minute, 3 => TimeUnits.Hour, _ => TimeUnits.Day };
            if (SkipUnit(ref at, count) == TimeUnits.Hour || hoursAndMinutes)
                seconds = count == 2 ? TimeUnits.Hour : seconds;
            var total = 0.0;
            for (var i = 0; i < count; i++)
            {
                if (i > 0 && !(parts[i] < (seconds == TimeUnits.Hour && count == 4 ? 24 : 60)))
                    return false;
                total += parts[i] * seconds;
                seconds /= seconds == TimeUnits.Day ? 24 : 60;
            }

            Take(total, 1, at);
            HasUnit = true;
            return true;
        }

        /// <summary>Passes the unit some write after colons, "3:16 h" or "12:34 min", and says which it was; 0 for none.</summary>
        private readonly double SkipUnit(ref int at, int parts)
        {
            if (!TryUnit(at, isFirst: true, out var unit, out var end))
                return 0;
            if (unit != TimeUnits.Hour && !(unit == TimeUnits.Minute && parts == 2))
                return 0;
            at = end;
            return unit;
        }

        private bool TryNumber(int at, out double number, out int end)
        {
            number = 0;
            end = at;
            if (at >= _text.Length)
                return false;
            var length = NumberLength(_text[at..], isWhole);
            if (length == 0)
                return false;
            var digits = _text.Slice(at, length);
            if (!NumberText.TryRead(digits, known, out var reading))
            {
                // "8,12.4" in running text: the comma belongs to the sentence.
                var cut = isWhole ? -1 : digits.IndexOf(',');
                if (cut <= 0 || !NumberText.TryRead(digits[..cut], known, out reading))
                    return false;
                length = cut;
            }

            number = reading.Value;
            end = at + length;
            IsAmbiguous |= reading.IsAmbiguous;
            if (reading.Mark != DecimalMark.Unknown)
                Mark = reading.Mark;
            return true;
        }

        private readonly bool TryUnit(int at, bool isFirst, out double seconds, out int end)
        {
            while (at < _text.Length && char.IsWhiteSpace(_text[at]))
                at++;
            var word = at < _text.Length ? Word(_text[at..]) : [];
            end = at + word.Length;

            // Quotes are units only where they can hardly be anything else: 1'23 and 1'23".
            if (word is ['\''] && !(end < _text.Length && char.IsDigit(_text[end])) || word is ['"'] && isFirst)
            {
                seconds = 0;
                return false;
            }

            return TimeUnits.TryFind(word, out seconds) && !(end < _text.Length && _text[end] is '_');
        }

        private readonly int SkipSeparators(int at)
        {
            while (at < _text.Length && (char.IsWhiteSpace(_text[at]) || _text[at] is ',' or '.'))
                at++;
            foreach (var word in (ReadOnlySpan<string>)["and ", "und ", "et "])
            {
                if (at > At && _text[at..].StartsWith(word, StringComparison.OrdinalIgnoreCase))
                    return at + word.Length;
            }

            return at;
        }

        private void Take(double number, double unit, int end)
        {
            Seconds += number * unit;
            At = end;
        }

        private static double Plain(ReadOnlySpan<char> digits)
        {
            Span<char> plain = stackalloc char[digits.Length];
            for (var i = 0; i < digits.Length; i++)
                plain[i] = digits[i] is '.' or ',' ? '.' : (char)('0' + CharUnicodeInfo.GetDecimalDigitValue(digits[i]));
            return double.Parse(plain, NumberStyles.Float, CultureInfo.InvariantCulture);
        }
    }
}
