namespace Capacityplan.Web;

/// <summary>
/// The program asking another copy of itself whether it is well: <c>--check-health http://127.0.0.1:8080/healthz</c>.
/// A container's health check runs it, because the image holds no other program that can fetch an address.
/// </summary>
public static class HealthCheckCommand
{
    private const string Option = "--check-health";

    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(5);

    /// <summary>True where the command line asks for it.</summary>
    public static bool Asked(string[] args) => args is [Option, ..];

    /// <summary>Fetches the address given after the option, and says on the error output why it is not well.</summary>
    /// <returns>The exit code: 0 where it answered with a success code, 1 where it did not, 2 where no address was given.</returns>
    public static async Task<int> RunAsync(string[] args)
    {
        if (args is not [Option, string address] || !Uri.TryCreate(address, UriKind.Absolute, out Uri? uri) || !uri.Scheme.StartsWith("http", StringComparison.Ordinal))
        {
            await Console.Error.WriteLineAsync($"{Option} needs one address, such as {Option} http://127.0.0.1:8080/healthz");
            return 2;
        }

        // No proxy: what is asked for runs in the same container, whatever its environment says about the way out.
        using var handler = new SocketsHttpHandler { UseProxy = false };
        using var client = new HttpClient(handler) { Timeout = s_patience };
        try
        {
            using HttpResponseMessage answer = await client.GetAsync(uri);
            if (answer.IsSuccessStatusCode)
                return 0;
            await Console.Error.WriteLineAsync(FormattableString.Invariant($"{uri} answered {(int)answer.StatusCode}."));
        }
        catch (Exception exception) when (exception is HttpRequestException or TaskCanceledException)
        {
            await Console.Error.WriteLineAsync($"{uri} did not answer: {exception.Message}");
        }

        return 1;
    }
}
