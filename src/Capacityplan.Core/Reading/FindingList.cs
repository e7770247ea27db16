using System.Collections.Immutable;
using System.Globalization;

namespace Capacityplan.Core.Reading;

/// <summary>Completes the findings of a text and turns them into problems.</summary>
internal static class FindingList
{
    // Past this many of one kind a person reads no further; the rest is counted.
    private const int MostOfOneKind = 100;

    /// <summary>Notes lines that repeat an earlier one word for word.</summary>
    public static void AddSameLines(List<Finding> findings, IReadOnlyList<PastedLine> lines, ImmutableArray<ReadTiming> timings)
    {
        var firstWith = new Dictionary<string, int>(StringComparer.Ordinal);
        var last = 0;
        foreach (var timing in timings)
        {
            var number = timing.ValueAt.Line;
            if (number == last || timing.CoresAt.Line != number)
                continue;
            last = number;
            var line = lines[number - 1];
            if (!firstWith.TryAdd(line.Text.TrimEnd(), number))
                findings.Add(new Finding(FindingKind.SameAsLine, line.Span(), firstWith[line.Text.TrimEnd()].ToString(CultureInfo.InvariantCulture)));
        }
    }

    /// <summary>Notes the lines with figures that no interpretation used, those under one another as one.</summary>
    public static void AddIgnoredLines(List<Finding> findings, IReadOnlyList<PastedLine> lines, IReadOnlyList<PastedLine> left)
    {
        var ignored = left.Where(line => line.HasDigit).ToList();
        for (var at = 0; at < ignored.Count;)
        {
            var isComment = ignored[at].CommentMark > 0;
            var end = at + 1;
            while (end < ignored.Count && ignored[end].CommentMark > 0 == isComment && AreNeighbours(ignored[end - 1], ignored[end], lines))
                end++;
            var quote = end - at == 1 ? "" : string.Create(CultureInfo.InvariantCulture, $"lines {ignored[at].Number} to {ignored[end - 1].Number}");
            findings.Add(new Finding(isComment ? FindingKind.Comment : FindingKind.Ignored, ignored[at].Span(), quote));
            at = end;
        }
    }

    /// <summary>
    /// The problems, in the order of the text; where nothing was read, an error and the warnings only. Where no warning says
    /// what a line lacks, the error points at the first line that could be meant.
    /// </summary>
    public static ImmutableArray<Problem> Problems(List<Finding> findings, ImmutableArray<ReadTiming> timings, IReadOnlyList<PastedLine> lines)
    {
        if (timings.IsEmpty)
        {
            findings.RemoveAll(finding => finding.Severity == ProblemSeverity.Note);
            var meant = findings.Count > 0
                ? null
                : lines.FirstOrDefault(line => line.HasDigit) ?? lines.First(line => !line.Text.AsSpan().IsWhiteSpace());
            findings.Add(new Finding(FindingKind.NothingRead, meant?.Span()));
        }

        var cores = timings.Select(timing => (double)timing.Timing.Cores).ToHashSet();
        var sorted = findings.OrderBy(finding => finding.At?.Line ?? 0).ThenBy(finding => finding.At?.Column ?? 0).ToList();
        return [.. sorted.GroupBy(finding => finding.Kind)
            .SelectMany(kind => kind.Count() <= MostOfOneKind ? kind : kind.Take(MostOfOneKind).Append(new Finding(
                FindingKind.MoreLikeIt, kind.ElementAt(MostOfOneKind).At, (kind.Count() - MostOfOneKind).ToString("#,0", CultureInfo.InvariantCulture)) { Severity = kind.Key.Severity() }))
            .OrderBy(finding => finding.At?.Line ?? 0).ThenBy(finding => finding.At?.Column ?? 0)
            .Select(finding => FindingWords.Say(finding, finding.Cores is { } count && cores.Contains(count)))];
    }

    private static bool AreNeighbours(PastedLine one, PastedLine next, IReadOnlyList<PastedLine> lines)
    {
        for (var number = one.Number + 1; number < next.Number; number++)
        {
            if (lines[number - 1].HasDigit)
                return false;
        }

        return true;
    }
}
