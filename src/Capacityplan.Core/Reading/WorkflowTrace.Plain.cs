using System.Runtime.CompilerServices;

namespace Capacityplan.Core.Reading;

/// <summary>
/// Tasks and runs written as nearly all are: texts without escapes, and all of the task here. They make up nearly all of a
/// trace, and are followed here without a token for each name. Whatever is not so plain, errors too, is left to the JSON
/// reader, from the beginning of its task, so that what is wrong is told in one way.
/// </summary>
internal sealed partial class WorkflowTrace
{
    /// <summary>Deeper than any task of a trace, and than no JSON reader goes.</summary>
    private const int DeepestPlain = 16;

    // True where the task whose end the JSON reader is to meet has been ended.
    private bool _hasEnded;

    /// <summary>Reads as many tasks or runs as are plain, one after another.</summary>
    /// <param name="at">Where in the bytes the first goes on after its opening bracket.</param>
    /// <returns>Where in the bytes the closing bracket of the last one read stands; -1 where none was.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int PlainObjects(int at)
    {
        bool isRun = _parts[^1] == Part.Run;
        int last = -1;
        while (true)
        {
            (int placed, int line, int column) = (_placed, _line, _column);
            if (last >= 0)
                Begin(Place(at - 1));
            int end = PlainObject(at, isRun);
            if (end < 0)
            {
                (_placed, _line, _column) = (placed, line, column);
                _taskParents.Clear();
                _taskChildren.Clear();
                if (last < 0)
                    (_name, _seconds, _cores) = (-1, null, 1);
                return last;
            }

            if (isRun)
                EndRun();
            else
                EndTask();
            _hasEnded = true;
            last = end;
            int next = PastSpaces(_bytes.AsSpan(0, _length), end + 1);
            if (IsFull || next >= _length || _bytes[next] != (byte)',')
                return last;
            next = PastSpaces(_bytes.AsSpan(0, _length), next + 1);
            if (next >= _length || _bytes[next] != (byte)'{')
                return last;
            at = next + 1;
        }
    }

    /// <summary>Reads a plain task or run; where its closing bracket stands, -1 where it is not plain.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int PlainObject(int at, bool isRun)
    {
        ReadOnlySpan<byte> bytes = _bytes.AsSpan(0, _length);
        bool isFirst = true;
        while (true)
        {
            int next = PastSpaces(bytes, at);
            if (next >= bytes.Length)
                return -1;
            if (bytes[next] == (byte)'}' && isFirst)
                return next;
            if (!PlainKey(bytes, next, out ReadOnlySpan<byte> key, out int value))
                return -1;
            int after;
            if (key.SequenceEqual("id"u8))
                after = PlainId(bytes, value);
            else if (!isRun && key.SequenceEqual("parents"u8))
                after = bytes[value] == (byte)'[' ? PlainNames(value + 1, _taskParents) + 1 : 0;
            else if (!isRun && key.SequenceEqual("children"u8))
                after = bytes[value] == (byte)'[' ? PlainNames(value + 1, _taskChildren) + 1 : 0;
            else if (isRun && (key.SequenceEqual("runtimeInSeconds"u8) || key.SequenceEqual("coreCount"u8)))
                after = PlainFigure(bytes, value, isSeconds: key[0] == (byte)'r');
            else
                after = PastPlain(bytes, value, 0);
            if (after <= 0 || IsFull)
                return -1;
            next = PastSpaces(bytes, after);
            if (next >= bytes.Length)
                return -1;
            if (bytes[next] == (byte)'}')
                return next;
            if (bytes[next] != (byte)',')
                return -1;
            at = next + 1;
            isFirst = false;
        }
    }

    /// <summary>A name with its colon, and where its value begins.</summary>
    private static bool PlainKey(ReadOnlySpan<byte> bytes, int at, out ReadOnlySpan<byte> key, out int value)
    {
        key = [];
        value = -1;
        if (bytes[at] != (byte)'"')
            return false;
        int end = EndOfPlain(bytes, at + 1);
        if (end < 0 || end >= bytes.Length)
            return false;
        key = bytes[(at + 1)..end];
        int colon = PastSpaces(bytes, end + 1);
        if (colon >= bytes.Length || bytes[colon] != (byte)':')
            return false;
        value = PastSpaces(bytes, colon + 1);
        return value < bytes.Length;
    }

    private int PlainId(ReadOnlySpan<byte> bytes, int at)
    {
        if (bytes[at] != (byte)'"')
            return -1;
        int end = EndOfPlain(bytes, at + 1);
        if (end <= at + 1 || end >= bytes.Length)
            return -1;
        _taskAt = Place(at, end - at + 1);
        _name = Named(bytes[(at + 1)..end], at);
        return end + 1;
    }

    /// <summary>Digits, and perhaps a point and more of them: so few that quotients of whole numbers are exact to the last bit (W.
    /// D. Clinger, "How to read floating point numbers accurately", PLDI 1990).</summary>
    private int PlainFigure(ReadOnlySpan<byte> bytes, int at, bool isSeconds)
    {
        int end = PastNumber(bytes, at);
        if (end < 0 || end - at > 16)
            return -1;
        long digits = 0, scale = 0;
        for (int i = at; i < end; i++)
        {
            if (bytes[i] == (byte)'.')
            {
                scale = 1;
                continue;
            }

            if (bytes[i] is < (byte)'0' or > (byte)'9')
                return -1;
            digits = 10 * digits + (bytes[i] - '0');
            scale *= 10;
        }

        // 16 signs with a point are 15 digits, all of which a double holds.
        if (scale == 0 && end - at > 15)
            return -1;
        double figure = scale == 0 ? digits : digits / (double)scale;
        if (isSeconds)
            (_secondsAt, _seconds) = (Place(at, end - at), figure);
        else
            _cores = figure;
        return end;
    }

    /// <summary>Where a value ends that is not used; -1 where it is not plain.</summary>
    private static int PastPlain(ReadOnlySpan<byte> bytes, int at, int depth)
    {
        switch (bytes[at])
        {
            case (byte)'"':
                int end = EndOfPlain(bytes, at + 1);
                return end < 0 || end >= bytes.Length ? -1 : end + 1;
            case (byte)'[' or (byte)'{':
                return depth < DeepestPlain ? PastPlainInside(bytes, at, depth) : -1;
            case (byte)'t':
                return bytes[at..].StartsWith("true"u8) ? at + 4 : -1;
            case (byte)'f':
                return bytes[at..].StartsWith("false"u8) ? at + 5 : -1;
            case (byte)'n':
                return bytes[at..].StartsWith("null"u8) ? at + 4 : -1;
            default:
                return PastNumber(bytes, at);
        }
    }

    private static int PastPlainInside(ReadOnlySpan<byte> bytes, int at, int depth)
    {
        bool isObject = bytes[at] == (byte)'{';
        byte closing = isObject ? (byte)'}' : (byte)']';
        int next = PastSpaces(bytes, at + 1);
        if (next < bytes.Length && bytes[next] == closing)
            return next + 1;
        while (next < bytes.Length)
        {
            int value = next;
            if (isObject && !PlainKey(bytes, next, out _, out value))
                return -1;
            int after = PastPlain(bytes, value, depth + 1);
            if (after < 0)
                return -1;
            next = PastSpaces(bytes, after);
            if (next >= bytes.Length)
                return -1;
            if (bytes[next] == closing)
                return next + 1;
            if (bytes[next] != (byte)',')
                return -1;
            next = PastSpaces(bytes, next + 1);
        }

        return -1;
    }

    /// <summary>Where a number without an exponent ends; -1 where none stands there, or it may go on.</summary>
    private static int PastNumber(ReadOnlySpan<byte> bytes, int at)
    {
        int next = at < bytes.Length && bytes[at] == (byte)'-' ? at + 1 : at, whole = next;
        while (next < bytes.Length && bytes[next] is >= (byte)'0' and <= (byte)'9')
            next++;
        if (next == whole || next > whole + 1 && bytes[whole] == (byte)'0')
            return -1;
        if (next < bytes.Length && bytes[next] == (byte)'.')
        {
            int point = next++;
            while (next < bytes.Length && bytes[next] is >= (byte)'0' and <= (byte)'9')
                next++;
            if (next == point + 1)
                return -1;
        }

        return next < bytes.Length && bytes[next] is (byte)',' or (byte)'}' or (byte)']' or (byte)' ' or (byte)'\n' or (byte)'\r' or (byte)'\t' ? next : -1;
    }
}
