namespace Capacityplan.Core.Reading;

/// <summary>What a <see cref="LineToken"/> is.</summary>
internal enum TokenKind
{
    /// <summary>A run of letters.</summary>
    Word,

    /// <summary>A number without a unit.</summary>
    Number,

    /// <summary>A duration that says its unit.</summary>
    Duration,

    /// <summary>A factor, such as 6.2x.</summary>
    Factor,

    /// <summary>A rate, such as 1200 items/s.</summary>
    Rate,

    /// <summary>An amount of something else: 24 GiB, 3.2 GHz, 65 %, node12, a date.</summary>
    Other,

    /// <summary>Any other character.</summary>
    Mark,
}

/// <summary>A piece of a line.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Start">Where in the line's text it starts.</param>
/// <param name="Length">How long it is.</param>
/// <param name="Value">Seconds of a duration, otherwise the number; 0 for words and marks.</param>
internal readonly record struct LineToken(TokenKind Kind, int Start, int Length, double Value = 0)
{
    public int End => Start + Length;

    public ReadOnlySpan<char> In(string line) => line.AsSpan(Start, Length);
}

/// <summary>Takes a line of running text apart into words, numbers and durations.</summary>
internal static class LineLexer
{
    public static LineToken[] Tokens(string line)
    {
        var tokens = new List<LineToken>();
        for (var at = 0; at < line.Length;)
        {
            var symbol = line[at];
            if (char.IsWhiteSpace(symbol))
            {
                at++;
                continue;
            }

            var token = BeginsFigure(line, at) ? Figure(line, at)
                : char.IsLetter(symbol) ? Word(line, at)
                : new LineToken(TokenKind.Mark, at, 1);
            tokens.Add(token);
            at = token.End;
        }

        return [.. tokens];
    }

    /// <summary>Digits, a mark or sign before digits where no word or number ends, or an ISO 8601 duration.</summary>
    private static bool BeginsFigure(string line, int at)
    {
        var symbol = line[at];
        if (char.IsDigit(symbol))
            return true;
        var next = at + 1 < line.Length ? line[at + 1] : ' ';
        var isFree = at == 0 || !(char.IsLetterOrDigit(line[at - 1]) || line[at - 1] is ')' or ']' or '-' or '.');
        if (!isFree)
            return false;
        if (symbol == 'P')
            return next == 'T' || char.IsDigit(next);
        if (symbol == '.')
            return char.IsDigit(next);
        return (symbol == '+' || NumberText.IsMinus(symbol))
            && (char.IsDigit(next) || (next == '.' && at + 2 < line.Length && char.IsDigit(line[at + 2])));
    }

    private static LineToken Word(string line, int at)
    {
        var end = at + 1;
        while (end < line.Length && char.IsLetter(line[end]))
            end++;
        return new LineToken(TokenKind.Word, at, end - at);
    }

    private static LineToken Figure(string line, int at)
    {
        var text = line.AsSpan(at);
        var date = DateLength(text);
        if (date > 0)
            return new LineToken(TokenKind.Other, at, date);

        // A space parts thousands only where a unit follows and a figure stands before, as in "8 cores: 4 420 s".
        var grouped = GroupedLength(text);
        var length = grouped > 0 && PastedLine.ContainsDigit(line.AsSpan(0, at))
            && DurationText.TryRead(text[..grouped], 1, DecimalMark.Unknown, out var reading)
            ? grouped
            : DurationText.ReadPrefix(text, 1, DecimalMark.Unknown, isWhole: false, out reading);
        if (length == 0)
            return line[at] == 'P' ? Word(line, at) : new LineToken(TokenKind.Other, at, Math.Max(1, JunkLength(text)));
        if (reading.HasUnit && IsAssigned(text, length))
        {
            // "cores=8 seconds=12.4": the word names what follows.
            length = DurationText.NumberLength(text, isWhole: false);
            return NumberText.TryRead(text[..length], out var number) ? new LineToken(TokenKind.Number, at, length, number) : Other(text, at);
        }

        if (reading.HasUnit)
            return IsCut(text, length) ? Other(text, at) : new LineToken(TokenKind.Duration, at, length, reading.Seconds);
        return AfterNumber(line, at, length, reading.Seconds);
    }

    private static LineToken AfterNumber(string line, int at, int length, double number)
    {
        var rest = line.AsSpan(at + length);
        if (rest.Length > 0 && rest[0] is 'x' or 'X' or '×' && !IsCut(rest, 1))
            return new LineToken(TokenKind.Factor, at, length + 1, number);
        var rate = Rates.UnitLength(rest);
        if (rate > 0)
            return new LineToken(TokenKind.Rate, at, length + rate, number * Rates.PerSecond(rest[..rate]));

        var gap = rest.Length - rest.TrimStart().Length;
        var after = rest[gap..];
        if (after.Length > 0 && after[0] is '%' or '‰')
            return new LineToken(TokenKind.Other, at, length + gap + 1, number);
        var word = 0;
        while (word < after.Length && char.IsLetter(after[word]))
            word++;
        if (gap == 0 && word > 0 && word < after.Length && char.IsDigit(after[word]))
            return Other(line.AsSpan(at), at);
        if (word == 0 || HeadingWords.IsCores(after[..word]) || (gap == 0 && after[..word] is "c" or "t" or "w" or "p"))
            return new LineToken(TokenKind.Number, at, length, number);
        return gap == 0 || IsMeasure(after[..word])
            ? new LineToken(TokenKind.Other, at, length + gap + word, number)
            : new LineToken(TokenKind.Number, at, length, number);
    }

    private static LineToken Other(ReadOnlySpan<char> text, int at) => new(TokenKind.Other, at, Math.Max(1, JunkLength(text)));

    private static int JunkLength(ReadOnlySpan<char> text)
    {
        var length = 0;
        while (length < text.Length && (char.IsLetterOrDigit(text[length]) || text[length] is '.' or ',' or ':' or '_' or '\''))
            length++;
        return length;
    }

    /// <summary>True where a word or number goes on after the place, so that what was read is a piece of something else.</summary>
    private static bool IsCut(ReadOnlySpan<char> text, int length)
    {
        if (length >= text.Length)
            return false;
        var next = text[length];
        return char.IsDigit(next) || next == '_'
            || (char.IsLetter(next) && !char.IsLetter(text[length - 1]) && !StartsWithLabel(text[length..]))
            || (next is ':' or '.' && length + 1 < text.Length && char.IsDigit(text[length + 1]));
    }

    /// <summary>True where the last word is parted by a space and followed by "=".</summary>
    private static bool IsAssigned(ReadOnlySpan<char> text, int length)
    {
        var rest = text[length..].TrimStart();
        return rest is ['=', ..] && text[..length].ContainsAny(' ', '\t');
    }

    /// <summary>Some shells glue the label to the time: "0:12.34elapsed".</summary>
    private static bool StartsWithLabel(ReadOnlySpan<char> text) =>
        text.StartsWith("elapsed") || text.StartsWith("user") || text.StartsWith("system") || text.StartsWith("real");

    /// <summary>Length of "4 420 s" or "12 420,5 min" at the start of a text; 0 where it starts with none.</summary>
    private static int GroupedLength(ReadOnlySpan<char> text)
    {
        var first = 0;
        while (first < text.Length && first < 3 && char.IsAsciiDigit(text[first]))
            first++;
        if (first is 0 or 3 || text.Length < first + 4 || text[first] != ' ' || text.Slice(first + 1, 3).ContainsAnyExceptInRange('0', '9'))
            return 0;
        var length = DurationText.NumberLength(text[(first + 1)..], isWhole: false);
        if (length < 3 || (length > 3 && text[first + 4] is not ('.' or ',')))
            return 0;
        var tail = DurationText.ReadPrefix(text[(first + 1)..], 1, DecimalMark.Unknown, isWhole: false, out var reading);
        return tail > length && reading.UnitSeconds is not null ? first + 1 + tail : 0;
    }

    /// <summary>Length of a date, with a time of day behind it where there is one: 2026-11-24 03:16:40.</summary>
    private static int DateLength(ReadOnlySpan<char> text)
    {
        if (text.Length < 10 || text[4] is not ('-' or '/' or '.') || text[7] != text[4]
            || text[..4].ContainsAnyExceptInRange('0', '9') || text[5..7].ContainsAnyExceptInRange('0', '9') || text[8..10].ContainsAnyExceptInRange('0', '9'))
            return 0;
        var length = 10;
        if (text.Length > 15 && text[10] is ' ' or 'T' && char.IsAsciiDigit(text[11]) && char.IsAsciiDigit(text[12]) && text[13] == ':')
        {
            length = 13;
            while (length < text.Length && (char.IsAsciiDigit(text[length]) || text[length] is ':' or '.' or ',' or 'Z' or '+'))
                length++;
        }

        return length;
    }

    private static bool IsMeasure(ReadOnlySpan<char> word) => word is
        "B" or "KB" or "kB" or "MB" or "GB" or "TB" or "KiB" or "MiB" or "GiB" or "TiB" or "Hz" or "kHz" or "MHz" or "GHz" or "W" or "kW" or "kWh" or "J" or "K" or "nodes" or "tasks" or "tiles" or "items" or "rows" or "files" or "runs" or "sockets";
}
