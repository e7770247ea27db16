using System.Collections.Immutable;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Exchange;

/// <summary>What one column is taken for.</summary>
/// <param name="Meaning">What it means.</param>
/// <param name="Unit">What its bare numbers count, an entry of the meaning's units; null where there are none.</param>
public sealed record ColumnChoice(ColumnMeaning Meaning, ColumnUnit? Unit)
{
    /// <summary>A column that is not used.</summary>
    public static ColumnChoice LeftOut { get; } = new(ColumnMeaning.LeftOut, null);

    /// <summary>A meaning with the catalogue's own unit.</summary>
    public static ColumnChoice Of(ColumnMeaning meaning) => new(meaning, meaning.Units.IsEmpty ? null : meaning.Units[0]);
}

/// <summary>Guesses what columns mean from their headings, and where these say nothing from what stands under them.</summary>
internal static class ColumnGuess
{
    private static readonly ImmutableArray<(ColumnMeaning Meaning, ImmutableArray<string> Words)> s_phrases =
        [.. ColumnMeaning.All.SelectMany(meaning => meaning.Phrases.Append(meaning.Key), (meaning, phrase) => (meaning, HeadingTokens.Of(phrase).Words)).Where(phrase => !phrase.Words.IsEmpty)];

    /// <summary>How surely a heading means something; 0 where it means nothing known.</summary>
    public static int Score(string heading) => Best(heading).Score;

    /// <summary>What the columns mean; no meaning twice.</summary>
    /// <param name="headings">Their headings; blank where there are none.</param>
    /// <param name="values">What stands under each; a sample.</param>
    public static ImmutableArray<ColumnChoice> Of(ImmutableArray<string> headings, ImmutableArray<ImmutableArray<FileCell>> values)
    {
        var choices = new ColumnChoice[headings.Length];
        Array.Fill(choices, ColumnChoice.LeftOut);
        var taken = new HashSet<ColumnMeaning>();
        (int Column, int Score, ColumnMeaning Meaning)[] byHeading =
            [.. headings.Select((heading, column) => (column, Best(heading).Score, Best(heading).Meaning)).Where(guess => guess.Score > 0)];
        foreach ((int column, _, ColumnMeaning meaning) in byHeading.OrderByDescending(guess => guess.Score).ThenBy(guess => guess.Column))
        {
            if (taken.Add(meaning))
                choices[column] = new ColumnChoice(meaning, UnitOf(meaning, headings[column]));
        }

        for (int column = 0; column < headings.Length; column++)
        {
            bool says = byHeading.Any(guess => guess.Column == column);
            if (!says && OfValues(values[column]) is { } meaning && taken.Add(meaning))
                choices[column] = new ColumnChoice(meaning, UnitOf(meaning, headings[column]));
        }

        return [.. choices];
    }

    private static (ColumnMeaning Meaning, int Score) Best(string heading)
    {
        HeadingTokens tokens = HeadingTokens.Of(heading);
        (ColumnMeaning Meaning, int Score) best = (ColumnMeaning.LeftOut, 0);
        foreach ((ColumnMeaning meaning, ImmutableArray<string> words) in s_phrases)
        {
            if (!words.All(tokens.Words.Contains))
                continue;
            // Words a phrase explains count for it, words left unexplained against it.
            int score = 10 * words.Length - (tokens.Words.Length - words.Length);
            if (score > best.Score)
                best = (meaning, score);
        }

        return best;
    }

    private static ColumnUnit? UnitOf(ColumnMeaning meaning, string heading)
    {
        if (meaning.Units.IsEmpty)
            return null;
        ImmutableArray<string> words = HeadingTokens.Of(heading).Words;
        return meaning.Units.FirstOrDefault(unit => unit.Signs.Length > 0 && unit.Signs.All(words.Contains)) ?? meaning.Units[0];
    }

    private static ColumnMeaning? OfValues(ImmutableArray<FileCell> values)
    {
        string[] texts = [.. values.Where(cell => !cell.IsBlank).Select(cell => cell.Text.Trim())];
        if (texts.Length == 0)
            return null;
        MachineField? field =
            texts.All(HeadingTokens.IsCurrency) ? MachineField.Currency
            : texts.All(text => KindWords.Find(text) is not null) ? MachineField.Kind
            : texts.All(text => text.Any(letter => HeadingTokens.CurrencyOf(letter) is not null) && text.Any(char.IsDigit)) ? MachineField.PricePerHour
            : texts.All(text => text.Any(char.IsLetter) && char.IsDigit(text[0]) && MemoryText.TryRead(text, out _)) ? MachineField.Memory
            : texts.All(text => text.Any(char.IsLetter) && !DurationText.TryRead(text, out _)) ? MachineField.Name
            : null;
        return field is { } found ? ColumnMeaning.All.First(meaning => meaning.Field == found) : null;
    }
}
