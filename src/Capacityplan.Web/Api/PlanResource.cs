using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using Capacityplan.Core;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Api;

/// <summary>How a plan is read, written and stored for the HTTP API.</summary>
internal sealed class PlanResource(PlanStore plans) : VersionedResource<PlanDraft>(PlansApi.Route, "plan", "plans")
{
    /// <summary>Saved with every change, a plan must stay small; large graphs and samples are files of their own.</summary>
    private const int MostBytes = 2_000_000;

    protected override async Task<StoredVersion<PlanDraft>?> FindAsync(Guid id, CancellationToken cancellation) =>
        await plans.FindAsync(id, cancellation) is { } stored ? new(stored.Name, stored.Version, stored.Draft, stored.Unreadable?.Why) : null;

    protected override byte[] Write(PlanDraft content) => JsonSerializer.SerializeToUtf8Bytes(content, StoredJson.Options);

    protected override async Task<int?> TryCreateAsync(Guid id, PlanDraft content, CancellationToken cancellation) =>
        (await plans.TryCreateAsync(id, content, cancellation))?.Version;

    protected override async Task<(SaveState State, int? Version)> SaveAsync(
        Guid id, PlanDraft content, int expectedVersion, RequestFindings findings, CancellationToken cancellation)
    {
        SaveResult<StoredPlan> saved = await plans.SaveAsync(id, content, expectedVersion, answer: null, cancellation);
        return (saved.State, saved.Current?.Version);
    }

    protected override Task<SaveState> DeleteAsync(Guid id, int expectedVersion, CancellationToken cancellation) =>
        plans.DeleteAsync(id, expectedVersion, cancellation);

    /// <summary>
    /// A text that is not understood yet is somebody's unfinished work, and no other blank says it. It may be replaced by whoever has
    /// seen it, in words: neither unseen nor by leaving its field out, as a program does that does not know the field.
    /// </summary>
    protected override ProblemHttpResult? Refusal(PlanDraft current, PlanDraft content, ReadOnlyMemory<byte> body, bool isKnown)
    {
        (string Field, string Why)[] unfinished = Unfinished(current);
        if (unfinished.Length == 0)
            return null;
        JsonObject before = Fields(current), after = Fields(content), empty = Fields(new PlanDraft());
        var given = (JsonObject)JsonNode.Parse(WithoutMark(body.Span))!;
        (string Field, string Why)[] lost =
        [
            .. unfinished.Where(one =>
                !JsonNode.DeepEquals(before[one.Field], after[one.Field]) && !JsonNode.DeepEquals(before[one.Field], empty[one.Field])
                && (!isKnown || !given.ContainsKey(one.Field))),
        ];
        if (lost.Length == 0)
            return null;
        string way = isKnown
            ? "and is left out here, which would lose it: send the field too, as it is or empty."
            : "and would be replaced unseen: get the plan, and send its ETag as If-Match.";
        RequestError[] errors = [.. lost.Select(one => new RequestError(one.Field, null, null, $"What is typed here is not understood yet ({one.Why.TrimEnd('.')}) {way}"))];
        return TypedResults.Problem(new RequestProblem
        {
            Status = isKnown ? StatusCodes.Status409Conflict : StatusCodes.Status412PreconditionFailed,
            Detail = errors is [var only] ? $"{only.Path}: {only.Message}" : "Texts that are not understood yet would be lost; errors lists them. Nothing was changed.",
            Errors = errors,
        });
    }

    /// <summary>Reads a draft as strictly as a stored one: a field that is not known would be lost without a word.</summary>
    protected override (PlanDraft? Content, ProblemHttpResult? Problem) Read(ReadOnlySpan<byte> body, RequestFindings findings)
    {
        if (body.Length > MostBytes)
            return (null, RequestProblem.Of(StatusCodes.Status413PayloadTooLarge, FormattableString.Invariant($"The plan is larger than 2 MB ({MostBytes:#,0} bytes); nothing of it was used.")));
        body = WithoutMark(body);
        try
        {
            if (JsonSerializer.Deserialize<PlanDraft>(body, StoredJson.Options) is { } draft)
                return (draft, null);
            findings.Error(null, "The body is null; a plan is an object.");
        }
        catch (JsonException wrong)
        {
            (int line, int column) = PlaceOf(body, wrong);
            string? path = wrong.Path is { Length: > 2 } within ? within[2..] : null;
            if (IsJson(body))
                findings.Error(path, $"It is not known to a plan, or holds something else than text: {Short(wrong.Message)}", line, column);
            else
                findings.Malformed(path, line, column, $"This is not JSON: {Short(wrong.Message)}");
        }
        catch (Exception wrong) when (wrong is ArgumentException or NotSupportedException)
        {
            findings.Error(null, wrong.Message);
        }

        return (null, null);
    }

    /// <summary>The fields of a plan that hold something not understood or left out, with the first reason of each.</summary>
    private static (string Field, string Why)[] Unfinished(PlanDraft draft)
    {
        var reading = PlanDraftReader.Read(draft);
        IEnumerable<(string Field, string Why)> found =
        [
            .. reading.Timings.Problems.Where(problem => problem.Severity != ProblemSeverity.Note).Select(problem => (nameof(PlanDraft.TimingsText), problem.Message)),
            .. reading.Blanks.Concat(reading.Notes).Where(problem => problem.Path is not null).Select(problem => (problem.Path!.Split('[', '.')[0], problem.Message)),
        ];
        return [.. found.DistinctBy(one => one.Field).Select(one => (JsonNamingPolicy.CamelCase.ConvertName(one.Field), one.Why))];
    }

    private static JsonObject Fields(PlanDraft draft) => (JsonObject)JsonSerializer.SerializeToNode(draft, StoredJson.Options)!;

    /// <summary>The body without a byte order mark.</summary>
    private static ReadOnlySpan<byte> WithoutMark(ReadOnlySpan<byte> body) => body.StartsWith("\uFEFF"u8) ? body[3..] : body;

    private static bool IsJson(ReadOnlySpan<byte> body)
    {
        try
        {
            var reader = new Utf8JsonReader(body);
            while (reader.Read())
            {
            }

            return true;
        }
        catch (JsonException)
        {
            return false;
        }
    }

    private static (int Line, int Column) PlaceOf(ReadOnlySpan<byte> body, JsonException wrong)
    {
        int line = (int)(wrong.LineNumber ?? 0), start = 0;
        for (int passed = 0; passed < line; passed++)
            start += body[start..].IndexOf((byte)'\n') + 1;
        int length = (int)Math.Min(wrong.BytePositionInLine ?? 0, body.Length - start);
        return (line + 1, Encoding.UTF8.GetCharCount(body.Slice(start, length)) + 1);
    }

    /// <summary>The message without the place, which stands beside it.</summary>
    private static string Short(string message) =>
        message.IndexOf(" Path: ", StringComparison.Ordinal) is > 0 and var at ? message[..at] : message.IndexOf(" LineNumber: ", StringComparison.Ordinal) is > 0 and var place ? message[..place] : message;
}
