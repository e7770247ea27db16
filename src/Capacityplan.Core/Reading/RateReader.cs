using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Machines;

namespace Capacityplan.Core.Reading;

/// <summary>A blank of a conversion rate.</summary>
public enum RateField
{
    /// <summary>The currency that is converted.</summary>
    From,

    /// <summary>The currency it is converted into.</summary>
    To,

    /// <summary>Units of the second for one of the first.</summary>
    Rate,

    /// <summary>The day it was taken.</summary>
    TakenOn,
}

/// <summary>Something wrong in a blank of a conversion rate.</summary>
/// <param name="Line">The rate's place in the draft, from 0.</param>
/// <param name="Field">The blank.</param>
/// <param name="Problem">What it is; it keeps the line from being read.</param>
public sealed record RateProblem(int Line, RateField Field, Problem Problem);

/// <summary>Reads conversion rates from their texts. A line that cannot be read leaves the rate it last was.</summary>
internal static class RateReader
{
    private const double MostRate = (double)CurrencyRate.MostRate;
    private const double LeastRate = 1 / MostRate;

    /// <summary>Reads the lines.</summary>
    public static (ImmutableArray<RateDraft> Lines, ImmutableArray<CurrencyRate> Rates) Read(ImmutableArray<RateDraft> drafts, List<RateProblem> problems)
    {
        var lines = ImmutableArray.CreateBuilder<RateDraft>(drafts.Length);
        var rates = ImmutableArray.CreateBuilder<CurrencyRate>();
        var taken = new HashSet<(string, string)>();
        for (int line = 0; line < drafts.Length; line++)
        {
            CurrencyRate? stands = ReadLine(drafts[line], line, problems) ?? drafts[line].Kept;
            lines.Add(drafts[line] with { Kept = stands });
            if (stands is null)
                continue;
            rates.Add(stands);
            (string, string) pair = string.CompareOrdinal(stands.From, stands.To) < 0 ? (stands.From, stands.To) : (stands.To, stands.From);
            if (!taken.Add(pair))
                problems.Add(Found(line, RateField.From, ProblemSeverity.Note, $"{stands.From} and {stands.To} have a rate already; this later line is the one that counts."));
        }

        return (lines.MoveToImmutable(), rates.ToImmutable());
    }

    private static CurrencyRate? ReadLine(RateDraft draft, int line, List<RateProblem> problems)
    {
        if (draft.Kept is { } kept && RateDraft.Of(kept).ReadsAs(draft))
            return kept;
        int before = problems.Count;
        string from = Code(draft.From, RateField.From), to = Code(draft.To, RateField.To);
        if (from == to && problems.Count == before)
            Refuse(RateField.To, "Both are the same currency. Type another one.");
        if (!NumberText.TryRead(draft.Rate, out double rate))
            Refuse(RateField.Rate, string.IsNullOrWhiteSpace(draft.Rate) ? "Type how many, such as 0.92." : $"\"{FigureReader.Shown(draft.Rate)}\" is not a number. Type one such as 0.92.");
        else if (!(rate >= LeastRate && rate <= MostRate))
            Refuse(RateField.Rate, $"\"{FigureReader.Shown(draft.Rate)}\" is out of range: it has to be from 0.000001 to {MostRate.ToString("#,0", CultureInfo.InvariantCulture)}.");
        if (!DateText.TryRead(draft.TakenOn, out DateOnly day))
            Refuse(RateField.TakenOn, string.IsNullOrWhiteSpace(draft.TakenOn) ? "Type the day the rate was taken, such as 3 Nov 2026." : $"\"{FigureReader.Shown(draft.TakenOn)}\" is not a day, or could be two. Type one such as 3 Nov 2026.");
        if (problems.Count > before)
            return null;

        bool isPlain = decimal.TryParse(draft.Rate.Trim(), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out decimal plain);
        return new CurrencyRate { From = from, To = to, Rate = isPlain ? plain : (decimal)rate, TakenOn = day };

        string Code(string text, RateField field)
        {
            string code = text.Trim().ToUpperInvariant();
            if (code.Length != 3 || !code.All(char.IsAsciiLetterUpper))
                Refuse(field, code.Length == 0 ? "Type a currency, as three letters such as EUR." : $"\"{FigureReader.Shown(text)}\" is not a currency's three letters. Type them, such as EUR.");
            return code;
        }

        void Refuse(RateField field, string message) => problems.Add(Found(line, field, ProblemSeverity.Warning, message));
    }

    private static RateProblem Found(int line, RateField field, ProblemSeverity severity, string message)
    {
        string name = field switch { RateField.From => "from", RateField.To => "to", RateField.Rate => "rate", _ => "takenOn" };
        return new RateProblem(line, field, new Problem(severity, message, Path: string.Create(CultureInfo.InvariantCulture, $"rates[{line}].{name}")));
    }
}
