using System.Buffers;
using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Reads durations out of a text that comes in blocks. Plain numbers are read where they stand, without a string for any of
/// them; a line with anything else goes to <see cref="SampleLine"/>.
/// </summary>
internal sealed class SampleScan
{
    private const int HeadLength = 1 << 16;

    // A line longer than this is read in pieces, cut where values part; a row of a table cannot be.
    private const int PieceLength = 1 << 15;
    private const int LongestRow = 1 << 20;

    private static readonly SearchValues<char> s_plain = SearchValues.Create("0123456789.+-eE, \t;[]");
    private static readonly SearchValues<char> s_partsAll = SearchValues.Create(", \t;[]");
    private static readonly SearchValues<char> s_partsButComma = SearchValues.Create(" \t;[]");
    private static readonly SearchValues<char> s_partsButSpace = SearchValues.Create("\t;[]");

    private readonly SampleFindings _findings = new();
    private readonly SampleValues _values;
    private readonly double? _callerUnit;
    private char[] _text = new char[2 * HeadLength];
    private int _length;
    private SampleLayout? _layout;
    private SampleLine? _lines;
    private SearchValues<char> _parts = s_partsAll;
    private int _line = 1;
    private int _column;
    private string _name = "";

    public SampleScan(double? callerUnit)
    {
        _callerUnit = callerUnit is { } unit ? Require.Positive(unit, nameof(callerUnit)) : null;
        _values = new SampleValues(_findings);
    }

    /// <summary>How many tasks have been read.</summary>
    public int Count => _values.Count;

    /// <summary>True once there are more than a sample may have; what follows would change nothing.</summary>
    public bool IsFull => _values.IsFull;

    /// <summary>Takes the next block of the text.</summary>
    public void Feed(ReadOnlySpan<char> block)
    {
        if (_length + block.Length > _text.Length)
            Array.Resize(ref _text, Math.Max(2 * _text.Length, _length + block.Length));
        block.CopyTo(_text.AsSpan(_length));
        _length += block.Length;
        if (_length >= HeadLength || _layout is not null)
            Process(isEnd: false);
    }

    /// <summary>The sample, once all blocks have been taken.</summary>
    public SampleReading Complete()
    {
        Process(isEnd: true);
        return _values.Complete(_layout!.UnitSeconds, _callerUnit, _layout.Chosen is null ? null : _layout.Heading);
    }

    private void Process(bool isEnd)
    {
        if (_layout is null)
            Begin(isEnd);
        int start = 0;
        while (!IsFull)
        {
            ReadOnlySpan<char> rest = _text.AsSpan(start, _length - start);
            int end = rest.IndexOfAny('\r', '\n');
            if (end >= 0 && (isEnd || rest[end] == '\n' || end + 1 < rest.Length))
            {
                Line(rest[..end]);
                start += end + (rest[end] == '\r' && end + 1 < rest.Length && rest[end + 1] == '\n' ? 2 : 1);
                _line++;
                _column = 0;
                continue;
            }

            if (isEnd)
            {
                Line(rest);
                start = _length;
                break;
            }

            if (end < 0 && rest.Length > PieceLength && CutLength(rest) is > 0 and var cut)
            {
                Line(rest[..cut]);
                start += cut;
                _column += cut;
            }

            break;
        }

        _text.AsSpan(start, _length - start).CopyTo(_text);
        _length -= start;
    }

    private void Begin(bool isEnd)
    {
        ReadOnlySpan<char> head = _text.AsSpan(0, Math.Min(_length, HeadLength));
        if (!isEnd || _length > HeadLength)
        {
            // A line that is cut would look like a row with columns missing, or a number with digits missing; where one line
            // is nearly all there is, it is cut where values part.
            int end = head.LastIndexOfAny('\r', '\n');
            head = head[..(end > head.Length / 2 ? end : Math.Max(head.LastIndexOfAny(s_partsAll), 0))];
        }

        _layout = SampleLayout.Of(head.ToString());
        _lines = new SampleLine(_layout, _values, _findings);
        _parts = _layout.SpaceParts ? s_partsButSpace : _layout.Comma == CommaRole.Parts ? s_partsAll : s_partsButComma;
        if (_layout.Chosen is { } chosen)
            _findings.Add(_layout.IsGuessed ? SampleFinding.ColumnGuessed : SampleFinding.ColumnChosen, _layout.HeadingLine > 0 ? new TextSpan(_layout.HeadingLine, 1, 0) : null, chosen);
    }

    private int CutLength(ReadOnlySpan<char> text)
    {
        if (_layout!.Shape == SampleShape.Table)
            return text.Length > LongestRow ? text.Length : 0;
        int cut = _layout.Comma == CommaRole.Parts ? text.LastIndexOfAny(',', ';') : text.LastIndexOf(';');
        return cut >= 0 ? cut + 1 : text.LastIndexOf(' ') is >= 0 and var space ? space + 1 : text.Length > LongestRow ? text.Length : 0;
    }

    private void Line(ReadOnlySpan<char> text)
    {
        if (_line == _layout!.HeadingLine && _column == 0)
            return;
        if (_layout.Shape == SampleShape.NamedValues)
            NamedValues(text);
        else if (_layout.Shape == SampleShape.Table)
            Row(text);
        else if (text.ContainsAnyExcept(s_plain))
            _lines!.Read(text, _line, _column);
        else
            Numbers(text);
    }

    private void Numbers(ReadOnlySpan<char> text)
    {
        int at = 0;
        while (true)
        {
            int skip = text[at..].IndexOfAnyExcept(_parts);
            if (skip < 0)
                return;
            at += skip;
            int length = text[at..].IndexOfAny(_parts);
            length = length < 0 ? text.Length - at : length;
            Number(text.Slice(at, length), at);
            if (IsFull)
                return;
            at += length;
        }
    }

    private void Number(ReadOnlySpan<char> digits, int at)
    {
        // With a decimal comma a point parts thousands, which the plain reading of a number would take for decimals.
        if (_layout!.Mark == DecimalMark.Point
            && double.TryParse(digits, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent, CultureInfo.InvariantCulture, out double value)
            && value >= 0 && value < double.PositiveInfinity)
        {
            _values.AddBare(value, 1, new TextSpan(_line, _column + at + 1, digits.Length));
            return;
        }

        _lines!.Cell(digits, new LinePlace(_line, _column + at));
    }

    private void Row(ReadOnlySpan<char> text)
    {
        if (text.Length > LongestRow)
        {
            _findings.Add(SampleFinding.LongLine, new TextSpan(_line, _column + 1, 0));
            return;
        }

        if (SampleCells.TryQuick(text, _layout!.Rule, _layout.Column, out int start, out int length))
        {
            ReadOnlySpan<char> cell = text.Slice(start, length);
            start += length - cell.TrimStart().Length;
            cell = cell.Trim();
            if (!cell.IsEmpty && !cell.ContainsAnyExcept(s_plain) && !cell.ContainsAny(s_partsAll))
            {
                Number(cell, start);
                return;
            }
        }

        _lines!.Row(text, _line);
    }

    private void NamedValues(ReadOnlySpan<char> text)
    {
        var walk = new JsonNames(text, _name);
        while (walk.Next() && !IsFull)
        {
            if (walk.Name == _layout!.Name)
            {
                if (!walk.Scalar.IsEmpty && !walk.Scalar.ContainsAnyExcept(s_plain))
                    Number(walk.Scalar, walk.Start);
                else
                    _lines!.Cell(walk.Scalar, new LinePlace(_line, _column + walk.Start));
            }
        }

        _name = walk.Name;
    }
}
