using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using Capacityplan.Web.Api;
using Capacityplan.Web.Tests.Serving;
using Microsoft.AspNetCore.Http;

namespace Capacityplan.Web.Tests.Api;

public sealed class TaskGraphsApiTests(Site site) : IClassFixture<Site>, IDisposable
{
    private const string Address = "/api/v1/task-graphs";

    // Two tasks between a first and a last: work 10, span 8.
    private const string Diamond = "id,seconds,parents\na,1,\nb,5,a\nc,2,a\nd,2,b;c\n";

    private static readonly string s_reference = Path.Combine(AppContext.BaseDirectory, "reference");

    private readonly HttpClient _client = site.CreateClient();

    /// <summary>Traces of the WfInstances collection, with the work and span a study of our own found.</summary>
    public static TheoryData<string> Traces() =>
        [.. File.ReadLines(Path.Combine(s_reference, "workflows", "workflow-reference.csv")).Skip(1)];

    public void Dispose() => _client.Dispose();

    [Fact]
    public async Task Answer_HasTheFieldsPromised()
    {
        JsonElement answer = await FollowAsync("?cores=2,1&replicates=20&seed=7", Diamond);

        Assert.Equal(
            ["seed", "tasks", "edges", "workSeconds", "spanSeconds", "parallelism", "maxWidth", "criticalPath", "replicates", "schedules", "problems"],
            answer.EnumerateObject().Select(field => field.Name));
        Assert.Equal(7, answer.GetProperty("seed").GetInt32());
        Assert.Equal(4, answer.GetProperty("tasks").GetInt32());
        Assert.Equal(10, answer.GetProperty("workSeconds").GetDouble());
        Assert.Equal(8, answer.GetProperty("spanSeconds").GetDouble());
        Assert.Equal(1.25, answer.GetProperty("parallelism").GetDouble());
        Assert.Equal(2, answer.GetProperty("maxWidth").GetInt32());
        Assert.Equal(["a", "b", "d"], answer.GetProperty("criticalPath").EnumerateArray().Select(id => id.GetString()));
        Assert.Equal(20, answer.GetProperty("replicates").GetInt32());
        JsonElement[] schedules = [.. answer.GetProperty("schedules").EnumerateArray()];
        Assert.Equal([2, 1], schedules.Select(one => one.GetProperty("cores").GetInt32()));
        Assert.Equal(
            ["cores", "listSeconds", "stealingSeconds", "floorSeconds", "provedOptimal", "greedyCeilingSeconds"],
            schedules[0].EnumerateObject().Select(field => field.Name));
        Assert.Equal(8, schedules[0].GetProperty("listSeconds").GetDouble());
        Assert.True(schedules[0].GetProperty("provedOptimal").GetBoolean());
        Assert.Equal(9, schedules[0].GetProperty("greedyCeilingSeconds").GetDouble());
        // One worker has nobody to steal from: the work, and a fork and a join for each task.
        Assert.Equal(10 + 4 * 1e-7, schedules[1].GetProperty("stealingSeconds").GetProperty("mean").GetDouble(), 1e-9);
        Assert.Empty(answer.GetProperty("problems").EnumerateArray());
    }

    [Theory]
    [MemberData(nameof(Traces))]
    public async Task Trace_IsFollowed(string row)
    {
        string[] cells = row.Split(',');
        string[] heads = File.ReadLines(Path.Combine(s_reference, "workflows", "workflow-reference.csv")).First().Split(',');
        string Cell(string head) => cells[Array.IndexOf(heads, head)];
        double Number(string head) => double.Parse(Cell(head), CultureInfo.InvariantCulture);
        string text = await File.ReadAllTextAsync(Path.Combine(s_reference, "workflows", Cell("file")), TestContext.Current.CancellationToken);

        JsonElement answer = await FollowAsync("?cores=4&replicates=5", text, "application/json");

        Assert.Equal(Number("tasks"), answer.GetProperty("tasks").GetDouble());
        Assert.Equal(Number("work_s"), answer.GetProperty("workSeconds").GetDouble(), 1e-6 * Number("work_s"));
        Assert.Equal(Number("span_s"), answer.GetProperty("spanSeconds").GetDouble(), 1e-6 * Number("span_s"));
        JsonElement schedule = Assert.Single(answer.GetProperty("schedules").EnumerateArray());
        JsonElement stealing = schedule.GetProperty("stealingSeconds");
        double floor = schedule.GetProperty("floorSeconds").GetDouble();
        Assert.InRange(schedule.GetProperty("listSeconds").GetDouble(), floor, schedule.GetProperty("greedyCeilingSeconds").GetDouble() * (1 + 1e-12));
        Assert.InRange(stealing.GetProperty("low").GetDouble(), floor * (1 - 1e-12), stealing.GetProperty("high").GetDouble());
    }

    [Fact]
    public async Task PlainText_DoesNotCountItsDummies()
    {
        JsonElement answer = await FollowAsync("?cores=2", "2\n0 0 0\n1 3 1 0\n2 4 1 1\n3 0 1 2\n", "text/plain");

        Assert.Equal(2, answer.GetProperty("tasks").GetInt32());
        Assert.Equal(7, answer.GetProperty("spanSeconds").GetDouble());
    }

    [Fact]
    public async Task Answer_OfOneSeed_HasTheSameBytes()
    {
        string text = await File.ReadAllTextAsync(Path.Combine(s_reference, "stg", "50", "rand0140.stg"), TestContext.Current.CancellationToken);
        async Task<string> Of(int seed) => (await FollowAsync($"?cores=4&seed={seed}", text, "text/plain")).GetRawText();

        Assert.Equal(await Of(3), await Of(3));
        Assert.NotEqual(await Of(3), await Of(4));
    }

    [Fact]
    public async Task Query_UnknownParameter_IsLeftOutAndNamed()
    {
        JsonElement answer = await FollowAsync("?cores=2&workers=3", Diamond);

        JsonElement problem = Assert.Single(answer.GetProperty("problems").EnumerateArray());
        Assert.Equal("workers", problem.GetProperty("path").GetString());
    }

    [Theory]
    [InlineData("?cores=0", "cores", "not a core count")]
    [InlineData("?cores=2,,4", "cores", "not a core count")]
    [InlineData("?cores=4097", "cores", "4,096")]
    [InlineData("?replicates=0", "replicates", "whole number from 1")]
    [InlineData("?seed=one", "seed", "whole number")]
    [InlineData("?seed=1&seed=2", "seed", "2 times")]
    [InlineData("?stealAttemptSeconds=0", "stealAttemptSeconds", "above 0")]
    [InlineData("?forkSeconds=NaN", "forkSeconds", "seconds")]
    [InlineData("?joinSeconds=-1", "joinSeconds", "seconds")]
    [InlineData("?replicates=100000&cores=1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21,22,23,24,25,26,27,28,29,30,31,32,33,34,35,36,37,38,39,40,41,42,43,44,45,46,47,48,49,50,51,52,53,54,55,56,57,58,59,60,61,62,63,64,65,66,67,68,69,70,71,72,73,74,75,76,77,78,79,80,81,82,83,84,85,86,87,88,89,90", "replicates", "fewer")]
    public async Task Query_ThatIsImpossible_IsRefusedByName(string query, string path, string message)
    {
        string many = string.Concat(Enumerable.Range(1, 100).Select(task => $"{task},1,\n"));

        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.UnprocessableEntity, Text("id,seconds,parents\n" + many), Address + query));

        Assert.Equal(path, error.Path);
        Assert.Contains(message, error.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("id,seconds,parents\na,1,b\nb,1,a\n", HttpStatusCode.UnprocessableEntity, 2, "a → b → a")]
    [InlineData("id,seconds,parents\na,1,\nb,1,x\n", HttpStatusCode.UnprocessableEntity, 3, "named as a parent")]
    [InlineData("id,seconds,parents\na,1,\na,1,\n", HttpStatusCode.UnprocessableEntity, 3, "taken already")]
    [InlineData("id,seconds,parents\na,-1,\n", HttpStatusCode.UnprocessableEntity, 2, "below 0")]
    [InlineData("{ \"workflow\": {\n \"specification\": ", HttpStatusCode.BadRequest, 2, "breaks off")]
    [InlineData("{ \"workflow\": \n nonsense }", HttpStatusCode.BadRequest, 2, "not JSON")]
    [InlineData("", HttpStatusCode.UnprocessableEntity, null, "No tasks here")]
    public async Task File_WithAnErrorInIt_IsRefusedWithTheLine(string text, HttpStatusCode status, int? line, string message)
    {
        Refusal[] errors = await _client.RefusedAsync(status, Text(text), Address);

        Assert.Null(errors[0].Path);
        Assert.Equal(line, errors[0].Line);
        Assert.Contains(message, errors[0].Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task File_SentAsSomethingElse_IsRefused()
    {
        using var body = new StringContent(Diamond, new MediaTypeHeaderValue("application/octet-stream"));
        Refusal error = Assert.Single(await _client.RefusedAsync(HttpStatusCode.UnsupportedMediaType, body, Address));
        Assert.Contains("text/csv", error.Message, StringComparison.Ordinal);

        using HttpResponseMessage response = await _client.GetAsync(Address, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.MethodNotAllowed, response.StatusCode);
    }

    [Fact]
    public async Task File_LargerThanAJsonBody_IsRead()
    {
        // Blanks make a file long without making it slow.
        string text = Diamond + string.Concat(Enumerable.Repeat(new string(' ', 1 << 16) + "\n", RequestBody.MostBytes / (1 << 16) + 1));

        JsonElement answer = await FollowAsync("?cores=2&replicates=1", text);

        Assert.Equal(4, answer.GetProperty("tasks").GetInt32());
    }

    [Fact]
    public async Task File_OfUnknownLength_IsReadNoFurtherThanTheLimit()
    {
        var context = new DefaultHttpContext();
        context.Request.ContentType = "text/csv";
        var endless = new EndlessBlanks();
        context.Request.Body = endless;

        var (reading, problem) = await FileBody.ReadGraphAsync(context.Request, TestContext.Current.CancellationToken);

        Assert.Null(reading);
        Assert.Equal(StatusCodes.Status413PayloadTooLarge, problem?.StatusCode);
        Assert.InRange(endless.Given, FileBody.MostBytes, FileBody.MostBytes + 1024 * 1024);
    }

    private static StringContent Text(string text, string type = "text/csv") => new(text, Encoding.UTF8, new MediaTypeHeaderValue(type, "utf-8"));

    private async Task<JsonElement> FollowAsync(string query, string text, string type = "text/csv")
    {
        using HttpResponseMessage response = await _client.PostAsync(Address + query, Text(text, type), TestContext.Current.CancellationToken);
        string answer = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(response.StatusCode == HttpStatusCode.OK, answer);
        return JsonElement.Parse(answer);
    }

    private sealed class EndlessBlanks : MemoryStream
    {
        public long Given { get; private set; }

        public override ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            buffer.Span.Fill((byte)' ');
            buffer.Span[0] = (byte)'\n';
            Given += buffer.Length;
            return ValueTask.FromResult(buffer.Length);
        }
    }
}
