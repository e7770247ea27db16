namespace Capacityplan.Core.Reading;

/// <summary>Where a piece of text begins: in a line as pasted, or in one that codes were taken out of.</summary>
internal readonly record struct LinePlace(int Line, int Before, PastedLine? Seen = null, int Start = 0)
{
    public LinePlace Plus(int length) => Seen is null ? this with { Before = Before + length } : this with { Start = Start + length };

    public TextSpan Span(int length)
    {
        if (Seen is null)
            return new TextSpan(Line, Before + 1, length);
        TextSpan own = Seen.Span(Math.Min(Start, Seen.Text.Length), Math.Min(length, Math.Max(0, Seen.Text.Length - Start)));
        return own with { Line = Line, Column = own.Column + Before };
    }
}

/// <summary>Reads the lines of task durations that are not plain numbers.</summary>
internal sealed class SampleLine(SampleLayout layout, SampleValues values, SampleFindings findings)
{
    private const int MostInRow = 64;

    /// <summary>Reads a line, or a piece of one, in which every figure is a duration.</summary>
    public void Read(ReadOnlySpan<char> line, int number, int column)
    {
        if (IsSimple(line))
        {
            Parts(line, new LinePlace(number, column));
            return;
        }

        PastedLine seen = PastedLine.Split(line.ToString())[0];
        if (seen.CommentMark > 0)
        {
            if (seen.HasDigit)
                findings.Add(SampleFinding.Comment, new LinePlace(number, column, seen).Span(seen.Text.Length), seen.Text.Trim());
            return;
        }

        Parts(seen.Text, new LinePlace(number, column, seen));
    }

    /// <summary>Reads the chosen column of a row.</summary>
    public void Row(ReadOnlySpan<char> line, int number)
    {
        PastedLine seen = PastedLine.Split(line.ToString())[0];
        var place = new LinePlace(number, 0, seen);
        if (seen.IsRule)
            return;
        if (seen.CommentMark > 0)
        {
            if (seen.HasDigit)
                findings.Add(SampleFinding.Comment, place.Span(seen.Text.Length), seen.Text.Trim());
            return;
        }

        Cell[] cells = CellSplitter.Split(seen, layout.Rule);
        if (SampleHeading.IsSum(seen.Text) && cells.Length > 1)
            findings.Add(SampleFinding.Figure, place.Span(seen.Text.Length), seen.Text.Trim());
        else if (layout.Column >= cells.Length || cells[layout.Column].IsEmpty)
            findings.Add(SampleFinding.NoCell, place.Span(seen.Text.Length));
        else
            Cell(cells[layout.Column].Text, place.Plus(cells[layout.Column].Start));
    }

    /// <summary>Reads one cell: a duration, a count of tasks with their duration, or a few durations in running text.</summary>
    public void Cell(ReadOnlySpan<char> text, LinePlace place)
    {
        int start = text.Length - text.TrimStart(" \t\"'[](){}*`~≈").Length;
        text = text[start..].TrimEnd(" \t\"'[](){}*`");
        place = place.Plus(start);
        if (text.IsEmpty)
            return;
        int count = 1;
        if (CountLength(text) is > 0 and var marked)
        {
            ReadOnlySpan<char> digits = text[..marked].TrimEnd("xX×* ");
            if (!NumberText.TryRead(digits, DecimalMark.Point, out NumberReading tasks) || !(tasks.Value >= 1 && tasks.Value == Math.Floor(tasks.Value)))
            {
                findings.Add(SampleFinding.BadCount, place.Span(digits.Length), digits);
                return;
            }

            // A count past the limit is as good as one over it.
            count = (int)Math.Min(tasks.Value, SampleReader.MostValues + 1);
            text = text[marked..];
            place = place.Plus(marked);
        }

        if (TryDuration(text, isWhole: true, out DurationReading reading, out _))
            Take(reading, count, text, place);
        else if (count > 1 || !(InRow(text, place) || InSentence(text, place)))
            findings.Add(SampleFinding.NotADuration, place.Span(text.Length), text);
    }

    private void Parts(ReadOnlySpan<char> text, LinePlace place)
    {
        int label = LabelLength(text);
        if (label > 0)
        {
            if (SampleHeading.IsSum(text))
            {
                findings.Add(SampleFinding.Figure, place.Span(text.Length), text.Trim());
                return;
            }

            text = text[label..];
            place = place.Plus(label);
        }

        if (!PastedLine.ContainsDigit(text) && !ContainsLetter(text))
            return;
        bool isCommaPart = layout.Comma == CommaRole.Parts;
        for (int at = 0; at <= text.Length;)
        {
            int end = isCommaPart ? text[at..].IndexOfAny(";,\t|") : text[at..].IndexOfAny(";\t|");
            end = end < 0 ? text.Length : at + end;
            Cell(text[at..end], place.Plus(at));
            if (values.IsFull)
                return;
            at = end + 1;
        }
    }

    /// <summary>Several durations with nothing but spaces between them.</summary>
    private bool InRow(ReadOnlySpan<char> text, LinePlace place)
    {
        // First without taking any, since a piece that turns out to be none would leave half of them.
        for (int take = 0; take < 2; take++)
        {
            int at = 0;
            while (at < text.Length)
            {
                if (char.IsWhiteSpace(text[at]) || (at > 0 && text[at] == ','))
                {
                    at++;
                    continue;
                }

                if (!TryDuration(text[at..], isWhole: false, out DurationReading reading, out int length) || !EndsFigure(text, at + length))
                    return false;
                if (take == 1)
                    Take(reading, 1, text.Slice(at, length), place.Plus(at));
                at += length;
            }
        }

        return true;
    }

    /// <summary>A sentence with one duration: "tile 17 done in 12.3 ms".</summary>
    private bool InSentence(ReadOnlySpan<char> text, LinePlace place)
    {
        if (!ContainsLetter(text) || text.Length > 16 * MostInRow)
            return false;
        string line = text.ToString();
        LineToken[] durations = [.. LineLexer.Tokens(line).Where(token => token.Kind == TokenKind.Duration)];
        if (durations.Length != 1 || SampleHeading.IsSum(text))
            return false;
        LineToken only = durations[0];
        return TryDuration(only.In(line), isWhole: true, out DurationReading reading, out _) && TakeAt(reading, only, line, place);
    }

    private bool TakeAt(DurationReading reading, LineToken token, string line, LinePlace place)
    {
        Take(reading, 1, token.In(line), place.Plus(token.Start));
        return true;
    }

    private bool TryDuration(ReadOnlySpan<char> text, bool isWhole, out DurationReading reading, out int length)
    {
        // Two parts with a colon are hours and minutes where hours are the unit.
        double bare = layout.UnitSeconds == TimeUnits.Hour ? TimeUnits.Hour : 1;
        length = text.Length;
        bool isRead = isWhole
            ? DurationText.TryRead(text, bare, layout.Mark, out reading)
            : (length = DurationText.ReadPrefix(text, bare, layout.Mark, isWhole: false, out reading)) > 0;
        if (isRead && !reading.HasUnit)
            reading = reading with { Seconds = reading.Seconds / bare };
        return isRead;
    }

    private void Take(DurationReading reading, int count, ReadOnlySpan<char> text, LinePlace place)
    {
        TextSpan at = place.Span(text.Length);
        if (reading.Seconds < 0)
        {
            findings.Add(SampleFinding.Negative, at, text);
            return;
        }

        if (reading.IsAmbiguous && text.Contains(','))
            findings.Add(SampleFinding.OpenMark, at, text);
        if (reading.HasUnit)
            values.AddSeconds(reading.Seconds, reading.UnitSeconds, count, at);
        else
            values.AddBare(reading.Seconds, count, at);
    }

    /// <summary>Length of "133 x " at the start of a text; 0 where there is none.</summary>
    internal static int CountLength(ReadOnlySpan<char> text)
    {
        int at = 0;
        while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] is ',' or '.'))
            at++;
        int digits = at;
        while (at < text.Length && text[at] == ' ')
            at++;
        if (digits == 0 || at >= text.Length || text[at] is not ('x' or 'X' or '×' or '*'))
            return 0;
        at++;
        while (at < text.Length && text[at] == ' ')
            at++;
        return at < text.Length && (char.IsDigit(text[at]) || text[at] is '.' or 'P') ? at : 0;
    }

    private static int LabelLength(ReadOnlySpan<char> text)
    {
        // "c(1, 2)" and "array([1, 2])", as programs print lists.
        int word = text.Length - text.TrimStart(" \t").Length;
        int start = word;
        while (word < text.Length && char.IsLetter(text[word]))
            word++;
        if (word > start && word < text.Length && text[word] is '(' or '[')
        {
            int brackets = word;
            while (brackets < text.Length && text[brackets] is '(' or '[' or ' ')
                brackets++;
            if (brackets < text.Length && char.IsDigit(text[brackets]))
                return brackets;
        }

        int mark = text.IndexOfAny(':', '=');
        return mark > 0 && ContainsLetter(text[..mark]) && !PastedLine.ContainsDigit(text[..mark]) && PastedLine.ContainsDigit(text[mark..]) ? mark + 1 : 0;
    }

    private static bool EndsFigure(ReadOnlySpan<char> text, int at) => at >= text.Length || char.IsWhiteSpace(text[at]) || text[at] == ',';

    private static bool ContainsLetter(ReadOnlySpan<char> text)
    {
        foreach (char symbol in text)
        {
            if (char.IsLetter(symbol))
                return true;
        }

        return false;
    }

    /// <summary>True where nothing in a line can be a colour code, a character without width or a comment.</summary>
    private static bool IsSimple(ReadOnlySpan<char> line) => !line.ContainsAnyExceptInRange(' ', '~') && !line.ContainsAny('#', '/');
}
