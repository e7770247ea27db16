using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Planning;

/// <summary>Reads blanks one by one and gathers what could not be understood. An empty blank is null and no problem.</summary>
internal sealed class BlankReader
{
    private readonly ImmutableArray<Problem>.Builder _problems = ImmutableArray.CreateBuilder<Problem>();

    private readonly ImmutableArray<Problem>.Builder _notes = ImmutableArray.CreateBuilder<Problem>();

    public ImmutableArray<Problem> Notes => _notes.ToImmutable();

    public ImmutableArray<Problem> Problems => _problems.ToImmutable();

    public bool Any => _problems.Count > 0;

    public bool Has(string blank) => _problems.Any(problem => problem.Path == blank);

    /// <summary>True where a blank inside a part of the draft, such as "Phases[1]", has a problem.</summary>
    public bool HasInside(string part) =>
        _problems.Any(problem => problem.Path is { } path && path.Length > part.Length && path[part.Length] == '.' && path.StartsWith(part, StringComparison.Ordinal));

    public void Add(string blank, string message) => _problems.Add(new Problem(ProblemSeverity.Error, message, Path: blank));

    public void Add(Problem problem) => _problems.Add(problem);

    /// <summary>Notes what was doubted or left out of a blank's text, which stops nothing.</summary>
    public void Note(IEnumerable<Problem> problems) => _notes.AddRange(problems);

    public double? Number(string blank, string text, double least, double most)
    {
        if (IsEmpty(text))
            return null;
        if (!NumberText.TryRead(text, out double value))
            return Refuse(blank, text, "a number", "1.45");
        return InRange(blank, text, value, least, most, Plain);
    }

    public int? Whole(string blank, string text, int least, int most) =>
        WholeNumber(blank, text, least, most) is { } value ? (int)value : null;

    public long? Count(string blank, string text, long least = 1, long most = 1_000_000_000_000_000) =>
        WholeNumber(blank, text, least, most) is { } value ? (long)value : null;

    /// <summary>An amount of memory in bytes; a bare number counts bytes.</summary>
    public double? Bytes(string blank, string text, double most)
    {
        if (IsEmpty(text))
            return null;
        if (!NumberText.TryRead(text, out double bytes))
        {
            if (!MemoryText.TryRead(text, out double gibibytes))
                return Refuse(blank, text, "an amount of memory", "4" + Figures.NoBreakSpace + "MB");
            bytes = gibibytes * (1L << 30);
        }

        return InRange(blank, text, bytes, 0, most, Plain);
    }

    public double? Share(string blank, string text, double least, double most)
    {
        if (IsEmpty(text))
            return null;
        if (!ShareText.TryRead(text, BareShare.Percent, out double value))
            return Refuse(blank, text, "a share", "1" + Figures.NoBreakSpace + "%");
        return InRange(blank, text, value, least, most, Figures.Percent);
    }

    /// <summary>How noisy a machine is: a word, or the scatter of single runs.</summary>
    public AssumedNoise? Noise(string blank, string text)
    {
        switch (text.Trim().ToUpperInvariant())
        {
            case "QUIET":
                return AssumedNoise.Quiet;
            case "USUAL":
                return AssumedNoise.Usual;
            case "NOISY":
                return AssumedNoise.Noisy;
        }

        if (IsEmpty(text))
            return null;
        if (!ShareText.TryRead(text, BareShare.Percent, out double value))
        {
            Add(blank, $"\"{text.Trim()}\" says nothing about noise. Type quiet, usual, noisy, or by how much single runs differ, such as 3{Figures.NoBreakSpace}%.");
            return null;
        }

        return InRange(blank, text, value, AssumedNoise.Least, AssumedNoise.Most, Figures.Percent) is { } share ? new AssumedNoise(share) : null;
    }

    public double? Memory(string blank, string text)
    {
        if (IsEmpty(text))
            return null;
        return MemoryText.TryRead(text, out double gibibytes) ? gibibytes : Refuse(blank, text, "an amount of memory", "24" + Figures.NoBreakSpace + "GiB");
    }

    public double? Rate(string blank, string text)
    {
        if (IsEmpty(text))
            return null;
        return RateOfRunsText.TryRead(text, out double runs) && runs is >= Machines.PurchaseOption.LeastRuns and <= Machines.PurchaseOption.MostRuns ? runs : Refuse(blank, text, "how often it runs", "every night, weekdays or 12 a month");
    }

    public TimeOnly? Clock(string blank, string text)
    {
        if (IsEmpty(text))
            return null;
        if (ClockText.TryRead(text, out TimeOnly time))
            return time;
        Refuse(blank, text, "a time of day", "04:00");
        return null;
    }

    public double? Duration(string blank, string text, bool zeroIsFine = false)
    {
        if (IsEmpty(text))
            return null;
        if (!DurationText.TryRead(text, out double seconds))
            return Refuse(blank, text, "a time", "90 min");
        if (seconds > 0 || (zeroIsFine && seconds == 0))
            return seconds;
        Add(blank, $"\"{Shown(text)}\" has to be {(zeroIsFine ? "0 or more" : "above 0")}.");
        return null;
    }

    /// <summary>A time between two others; <paramref name="least"/> 0 allows 0.</summary>
    public double? Duration(string blank, string text, double least, double most)
    {
        if (Duration(blank, text, zeroIsFine: least == 0) is not { } seconds)
            return null;
        if (seconds >= least && seconds <= most)
            return seconds;
        Add(blank, $"\"{Shown(text)}\" is out of range: it has to be {(seconds > most ? "at most " + Figures.Time(most) : "at least " + Figures.Time(least))}.");
        return null;
    }

    private double? WholeNumber(string blank, string text, double least, double most)
    {
        if (IsEmpty(text))
            return null;
        if (!NumberText.TryRead(text, out double value) || value != Math.Floor(value))
            return Refuse(blank, text, "a whole number", "8");
        return InRange(blank, text, value, least, most, Plain);
    }

    private double? InRange(string blank, string text, double value, double least, double most, Func<double, string> write)
    {
        if (value >= least && value <= most)
            return value;
        Add(blank, $"\"{text.Trim()}\" is out of range: it has to be from {write(least)} to {write(most)}.");
        return null;
    }

    private double? Refuse(string blank, string text, string kind, string example)
    {
        Add(blank, $"\"{Shown(text)}\" is not {kind}. Type one such as {example}.");
        return null;
    }

    private static bool IsEmpty(string text) => string.IsNullOrWhiteSpace(text);

    private static string Plain(double value) => value.ToString("#,0.###", CultureInfo.InvariantCulture);

    /// <summary>A text short enough for a sentence.</summary>
    private static string Shown(string text) => text.Trim() is { Length: > 24 } longer ? longer[..24] + "…" : text.Trim();
}
